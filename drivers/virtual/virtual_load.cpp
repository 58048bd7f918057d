#include "drivers/virtual/virtual_load.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr std::uint64_t kLoadStream = 2;
constexpr double kSetpointSteps = 65536.0;   // 16 bit
constexpr double kReadingSteps = 1048576.0;  // 20 bit
constexpr double kVoltageNoise = 5e-6;       // of range, one standard deviation
constexpr double kCurrentNoise = 1e-5;       // of range
constexpr double kShortestConversionS = 0.002;
constexpr double kLongestConversionS = 0.005;

std::string identity(std::uint64_t seed) {
  return "SAGBENCH,VIRTUAL-LOAD," + std::to_string(seed) + ",1";
}

void append_setting(ScpiCall& call, double value, const NumberLimits& limits) {
  if (call.has(0) && !parse_limit_word(call.parameters[0], limits, value)) {
    throw ScpiFault{fault::kIllegalParameterValue};
  }
  append_number(call.answer, value);
}

}  // namespace

VirtualLoad::VirtualLoad(VirtualPack& pack, const LoadSpec& spec, double leads_ohm,
                         std::uint64_t seed)
    : pack_(pack),
      spec_(spec),
      leads_ohm_(leads_ohm),
      random_(seed, kLoadStream),
      setpoint_error_(spec.current, 0.0, spec.max_current_a / kSetpointSteps, random_),
      voltage_error_(spec.voltage, kVoltageNoise * spec.max_voltage_v,
                     spec.max_voltage_v / kReadingSteps, random_),
      current_error_(spec.current, kCurrentNoise * spec.max_current_a,
                     spec.max_current_a / kReadingSteps, random_),
      protection_a_(spec.max_current_a),
      instrument_(
          identity(seed), [this](Time now) { reset(now); }, commands()) {}

std::vector<ScpiCommand> VirtualLoad::commands() {
  std::vector<ScpiCommand> commands;
  add_current_commands(commands);
  add_input_commands(commands);
  add_measure_commands(commands);
  return commands;
}

void VirtualLoad::add_current_commands(std::vector<ScpiCommand>& commands) {
  const NumberLimits current{0.0, spec_.max_current_a, 0.0};
  const NumberLimits protection{0.0, spec_.max_current_a, spec_.max_current_a};
  const auto mode = [](ScpiCall& call) {
    if (!is_word(call.parameters[0], "CURRent")) throw ScpiFault{fault::kIllegalParameterValue};
  };
  commands.insert(
      commands.end(),
      {{"[SOURce:]FUNCtion:MODE", mode, 1, 1},
       {"[SOURce:]FUNCtion:MODE?", [](ScpiCall& call) { call.answer += "CURR"; }},
       {"[SOURce:]CURRent[:LEVel][:IMMediate][:AMPLitude]",
        [this, current](ScpiCall& call) {
          set_current(parse_number(call.parameters[0], "A", current), call.now);
        },
        1, 1},
       {"[SOURce:]CURRent[:LEVel][:IMMediate][:AMPLitude]?",
        [this, current](ScpiCall& call) { append_setting(call, setpoint_a_, current); }, 0, 1},
       {"[SOURce:]CURRent:PROTection[:LEVel]",
        [this, protection](ScpiCall& call) {
          set_protection(parse_number(call.parameters[0], "A", protection), call.now);
        },
        1, 1},
       {"[SOURce:]CURRent:PROTection[:LEVel]?",
        [this, protection](ScpiCall& call) { append_setting(call, protection_a_, protection); }, 0,
        1},
       {"[SOURce:]CURRent:PROTection:TRIPped?",
        [this](ScpiCall& call) { append_integer(call.answer, over_current_tripped_ ? 1U : 0U); }},
       {"[SOURce:]CURRent:PROTection:CLEar",
        [this](ScpiCall&) { over_current_tripped_ = false; }}});
}

void VirtualLoad::add_input_commands(std::vector<ScpiCommand>& commands) {
  const auto check_suffix = [](const ScpiCall& call) {
    if (call.suffixes[0] != 1) throw ScpiFault{fault::kHeaderSuffixOutOfRange};
  };
  commands.push_back({"INPut#[:STATe]",
                      [this, check_suffix](ScpiCall& call) {
                        check_suffix(call);
                        switch_input(parse_boolean(call.parameters[0]), call.now);
                      },
                      1, 1});
  commands.push_back({"INPut#[:STATe]?", [this, check_suffix](ScpiCall& call) {
                        check_suffix(call);
                        guard(call.now);
                        append_integer(call.answer, input_on_ ? 1U : 0U);
                      }});
}

void VirtualLoad::add_measure_commands(std::vector<ScpiCommand>& commands) {
  commands.push_back({"MEASure[:SCALar]:VOLTage[:DC]?", [this](ScpiCall& call) {
                        append_number(call.answer, measure_voltage_v(call));
                      }});
  commands.push_back({"MEASure[:SCALar]:CURRent[:DC]?", [this](ScpiCall& call) {
                        append_number(call.answer, measure_current_a(call));
                      }});
  commands.push_back({"MEASure[:SCALar]:POWer[:DC]?", [this](ScpiCall& call) {
                        const double voltage_v = measure_voltage_v(call);
                        append_number(call.answer, voltage_v * measure_current_a(call));
                      }});
}

void VirtualLoad::reset(Time now) {
  switch_input(false, now);
  setpoint_a_ = 0.0;
  protection_a_ = spec_.max_current_a;
  apply();
}

void VirtualLoad::switch_input(bool on, Time now) {
  guard(now);
  if (on && over_current_tripped_) throw ScpiFault{fault::kSettingsConflict};
  if (on && pack_.sink_v() > spec_.max_voltage_v) throw ScpiFault{fault::kOverVoltageTripped};
  input_on_ = on;
  if (!on) over_current_tripped_ = false;
  apply();
}

void VirtualLoad::set_current(double current_a, Time now) {
  guard(now);
  setpoint_a_ = current_a;
  apply();
}

void VirtualLoad::set_protection(double current_a, Time now) {
  guard(now);
  protection_a_ = current_a;
  apply();
}

void VirtualLoad::trip(int fault_number) {
  input_on_ = false;
  over_current_tripped_ = fault_number == fault::kOverCurrentTripped;
  instrument_.report(fault_number);
  apply();
}

// Time passes in the pack; the load watches its terminals meanwhile.
void VirtualLoad::guard(Time now) {
  pack_.advance(now);
  if (input_on_ && pack_.sink_v() > spec_.max_voltage_v) trip(fault::kOverVoltageTripped);
}

void VirtualLoad::apply() {
  Sink sink;
  sink.leads_ohm = leads_ohm_;
  sink.min_voltage_v = spec_.min_voltage_v;
  sink.max_power_w = spec_.max_power_w;
  if (input_on_) {
    const double step_a = spec_.max_current_a / kSetpointSteps;
    const double quantised_a = std::round(setpoint_a_ / step_a) * step_a;
    if (quantised_a > 0.0) sink.current_a = std::max(0.0, setpoint_error_.fixed(quantised_a));
  }
  pack_.connect(sink);
  if (input_on_ && setpoint_a_ > protection_a_) trip(fault::kOverCurrentTripped);
}

double VirtualLoad::measure_voltage_v(ScpiCall& call) {
  guard(call.now);
  call.takes += from_seconds(random_.uniform(kShortestConversionS, kLongestConversionS));
  return voltage_error_.apply(pack_.sink_v(), random_);
}

double VirtualLoad::measure_current_a(ScpiCall& call) {
  guard(call.now);
  call.takes += from_seconds(random_.uniform(kShortestConversionS, kLongestConversionS));
  return current_error_.apply(pack_.current_a(), random_);
}

}  // namespace sagbench::drivers::virtual_bench
