#include "drivers/probe/probe_words.hpp"

#include <array>

namespace sagbench::drivers {
namespace {

using std::string_view;

// Headers by chapter of SCPI-1999 Vol. 2 where it has them: INPut (11), MEASure (3), OUTPut (15),
// SOURce (19), SYSTem (21). Those marked "practice" are common practice, no source.

constexpr std::array<string_view, 4> kErrorQueries{"SYST:ERR?", "SYST:ERR:NEXT?",
                                                   "STAT:QUE?",  // SCPI before 1991
                                                   "*ESR?"};

constexpr std::array<SwitchForm, 6> kInputs{
    {{"INP?", "INP ON", "INP OFF"},
     {"INP:STAT?", "INP:STAT ON", "INP:STAT OFF"},
     {"OUTP?", "OUTP ON", "OUTP OFF"},
     {"OUTP:STAT?", "OUTP:STAT ON", "OUTP:STAT OFF"},
     {"SOUR:INP?", "SOUR:INP ON", "SOUR:INP OFF"},  // practice
     {"LOAD?", "LOAD ON", "LOAD OFF"}}};            // practice

constexpr std::array<SwitchForm, 2> kRemoteSense{
    {{"SYST:RSEN?", "SYST:RSEN ON", "SYST:RSEN OFF"},  // practice
     {"REM:SENS?", "REM:SENS ON", "REM:SENS OFF"}}};   // practice

constexpr std::array<SettingForm, 4> kModes{{{"FUNC:MODE?", "FUNC:MODE {}"},
                                             {"FUNC?", "FUNC {}"},
                                             {"SOUR:FUNC:MODE?", "SOUR:FUNC:MODE {}"},
                                             {"MODE?", "MODE {}"}}};  // practice

constexpr std::array<SettingForm, 4> kCurrents{{{"CURR?", "CURR {}"},
                                                {"CURR:LEV?", "CURR:LEV {}"},
                                                {"CURR:LEV:IMM?", "CURR:LEV:IMM {}"},
                                                {"SOUR:CURR?", "SOUR:CURR {}"}}};

constexpr std::array<SettingForm, 4> kCurrentProtections{{{"CURR:PROT?", "CURR:PROT {}"},
                                                          {"CURR:PROT:LEV?", "CURR:PROT:LEV {}"},
                                                          {"SOUR:CURR:PROT?", "SOUR:CURR:PROT {}"},
                                                          {"CURR:LIM?", "CURR:LIM {}"}}};

constexpr std::array<SettingForm, 4> kPowerProtections{{{"POW:PROT?", "POW:PROT {}"},
                                                        {"POW:PROT:LEV?", "POW:PROT:LEV {}"},
                                                        {"SOUR:POW:PROT?", "SOUR:POW:PROT {}"},
                                                        {"POW:LIM?", "POW:LIM {}"}}};

constexpr std::array<SettingForm, 3> kLowVoltageStops{
    {{"VOLT:PROT:LOW?", "VOLT:PROT:LOW {}"},  // practice, as those below
     {"VOLT:PROT:UND?", "VOLT:PROT:UND {}"},
     {"VOLT:LIM:LOW?", "VOLT:LIM:LOW {}"}}};

constexpr std::array<SettingForm, 2> kWatchdogs{
    {{"SYST:WATC?", "SYST:WATC {}"},              // practice
     {"SYST:COMM:WATC?", "SYST:COMM:WATC {}"}}};  // practice

constexpr std::array<SettingForm, 3> kIntegrations{{{"SENS:VOLT:NPLC?", "SENS:VOLT:NPLC {}"},
                                                    {"SENS:VOLT:DC:NPLC?", "SENS:VOLT:DC:NPLC {}"},
                                                    {"VOLT:NPLC?", "VOLT:NPLC {}"}}};

constexpr std::array<string_view, 3> kVoltages{"MEAS:VOLT?", "MEAS:VOLT:DC?", "MEAS:SCAL:VOLT:DC?"};
constexpr std::array<string_view, 3> kMeasuredCurrents{"MEAS:CURR?", "MEAS:CURR:DC?",
                                                       "MEAS:SCAL:CURR:DC?"};

constexpr std::array<string_view, 2> kTripped{"INP:PROT:TRIP?",  // practice
                                              "CURR:PROT:TRIP?"};
// After MEAS:CURR? a header without a colon stays in MEAS (SCPI-1999 Vol. 1, 6.2.4).
constexpr std::array<string_view, 2> kPairs{"MEAS:CURR?;VOLT?", "MEAS:CURR?;:MEAS:VOLT?"};

constexpr std::array<ProbedSetting, 4> kLimits{{
    {"over-current protection", &Dialect::current_protection, &Dialect::current_protection_query,
     kCurrentProtections},
    {"power protection", &Dialect::power_protection, &Dialect::power_protection_query,
     kPowerProtections},
    {"low-voltage stop", &Dialect::low_voltage_stop, &Dialect::low_voltage_stop_query,
     kLowVoltageStops, true},
    {"watchdog", &Dialect::watchdog, &Dialect::watchdog_query, kWatchdogs, true},
}};

constexpr ProbedSetting kIntegration{"integration time", &Dialect::integration_cycles,
                                     &Dialect::integration_cycles_query, kIntegrations};

constexpr std::array<ProbedReading, 2> kReadings{{
    {"voltage", &Dialect::measure_voltage, kVoltages},
    {"current", &Dialect::measure_current, kMeasuredCurrents},
}};

constexpr std::array kChannels{101, 1, 201};  // practice

}  // namespace

std::span<const string_view> error_query_forms() {
  return kErrorQueries;
}
std::span<const SwitchForm> input_forms() {
  return kInputs;
}
bool is_output_form(const SwitchForm& form) noexcept {
  return form.query.starts_with("OUTP");
}
std::span<const SwitchForm> remote_sense_forms() {
  return kRemoteSense;
}
bool is_current_mode(string_view mode) noexcept {
  if (mode.starts_with('"')) mode.remove_prefix(1);
  return mode.starts_with("CURR") || mode.starts_with("curr") || mode.starts_with("CC");
}
std::span<const SettingForm> mode_forms() {
  return kModes;
}
std::span<const SettingForm> current_forms() {
  return kCurrents;
}
std::span<const ProbedSetting> limits_of_a_load() {
  return kLimits;
}
const ProbedSetting& integration_of_a_meter() {
  return kIntegration;
}
std::span<const ProbedReading> readings_of_a_load() {
  return kReadings;
}
std::span<const string_view> voltage_forms() {
  return kVoltages;
}
std::span<const string_view> tripped_forms() {
  return kTripped;
}
std::span<const string_view> pair_forms() {
  return kPairs;
}
std::span<const int> channels_to_try() {
  return kChannels;
}

}  // namespace sagbench::drivers
