// The dialects that need no file. Words are those of the SCPI-1999 command reference where it has
// any; for a low-voltage stop, a watchdog and remote sense it has none, and these are ours.

#include <algorithm>

#include "drivers/dialect.hpp"

namespace sagbench::drivers {
namespace {

struct Variant {
  DialectVariant shown;
  void (*change)(Dialect& dialect);
};

void use_output_words(Dialect& dialect) {
  dialect.input_on = {"OUTP ON"};
  dialect.input_off = {"OUTP OFF"};
  dialect.input_query = {"OUTP?"};
}

void measure_in_one(Dialect& dialect) {
  dialect.measure_both = Operation{"MEAS:CURR?;VOLT?"};
}

void guard_itself(Dialect& dialect) {
  dialect.current_protection_query = Operation{"CURR:PROT?"};
  dialect.power_protection = Operation{"POW:PROT {}"};
  dialect.power_protection_query = Operation{"POW:PROT?"};
  dialect.low_voltage_stop = Operation{"VOLT:PROT:LOW {}"};
  dialect.low_voltage_stop_query = Operation{"VOLT:PROT:LOW?"};
  dialect.watchdog = Operation{"SYST:WATC {}"};
  dialect.watchdog_query = Operation{"SYST:WATC?"};
  dialect.protection_tripped_query = Operation{"INP:PROT:TRIP?"};
}

void sense_remotely(Dialect& dialect) {
  dialect.remote_sense_on = Operation{"SYST:RSEN ON"};
  dialect.remote_sense_off = Operation{"SYST:RSEN OFF"};
  dialect.remote_sense_query = Operation{"SYST:RSEN?"};
}

void play_lists(Dialect& dialect) {
  dialect.list.emplace();
}

void await_completion(Dialect& dialect) {
  dialect.operation_complete = Operation{"*OPC?"};
  constexpr double kAtMostS = 1.0;
  for (Operation* setting : {&dialect.set_current, &dialect.input_on}) setting->takes_s = kAtMostS;
}

void scan_channels(Dialect& dialect) {
  dialect.scan_voltages = Operation{"MEAS:VOLT? (@{})"};
  dialect.integration_cycles = Operation{"SENS:VOLT:NPLC {}"};
  dialect.integration_cycles_query = Operation{"SENS:VOLT:NPLC?"};
}

constexpr Variant kVariants[] = {
    {{"output", "OUTP switches the input"}, use_output_words},
    {{"compound", "current and voltage in one exchange"}, measure_in_one},
    {{"guarded", "low-voltage stop, watchdog and power protection"}, guard_itself},
    {{"sense", "remote sense can be switched"}, sense_remotely},
    {{"list", "plays a list of currents by itself"}, play_lists},
    {{"opc", "*OPC? tells when a setting is done"}, await_completion},
    {{"scan", "a meter's channels in one exchange, integration time"}, scan_channels},
};

}  // namespace

const Dialect& scpi_1999() {
  static const Dialect dialect = [] {
    Dialect standard;  // the words are the defaults of the struct
    standard.name = "scpi-1999";
    return standard;
  }();
  return dialect;
}

const std::vector<DialectVariant>& dialect_variants() {
  static const std::vector<DialectVariant> all = [] {
    std::vector<DialectVariant> shown;
    for (const Variant& variant : kVariants) shown.push_back(variant.shown);
    return shown;
  }();
  return all;
}

std::optional<Dialect> built_in_dialect(std::string_view name) {
  if (!name.starts_with(scpi_1999().name)) return std::nullopt;
  Dialect dialect = scpi_1999();
  std::string_view rest = name.substr(dialect.name.size());
  dialect.name = name;
  while (!rest.empty()) {
    if (rest.front() != '-') return std::nullopt;
    rest.remove_prefix(1);
    const std::string_view word = rest.substr(0, rest.find('-'));
    const auto* const variant =
        std::find_if(std::begin(kVariants), std::end(kVariants),
                     [&](const Variant& v) { return v.shown.word == word; });
    if (variant == std::end(kVariants)) return std::nullopt;
    variant->change(dialect);
    rest.remove_prefix(word.size());
  }
  return dialect;
}

}  // namespace sagbench::drivers
