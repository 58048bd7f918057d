// What the simulated load understands. Headers are those of the SCPI-1999 command reference, but
// for VOLTage:PROTection:LOW, SYSTem:WATChdog and SYSTem:RSENse, for which it has none.

#include <algorithm>
#include <cmath>

#include "drivers/virtual/virtual_load.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr std::size_t kMostPoints = 100;
constexpr NumberLimits kDwell{0.001, 3600.0, 1.0};
constexpr NumberLimits kCount{1.0, 65535.0, 1.0};
constexpr NumberLimits kWatchdog{0.0, 3600.0, 0.0};

void append_setting(ScpiCall& call, double value, const NumberLimits& limits) {
  if (call.has(0) && !parse_limit_word(call.parameters[0], limits, value)) {
    throw ScpiFault{fault::kIllegalParameterValue};
  }
  append_number(call.answer, value);
}

void append_numbers(ScpiCall& call, const std::vector<double>& values) {
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (i > 0) call.answer.push_back(',');
    append_number(call.answer, values[i]);
  }
}

void append_flag(ScpiCall& call, bool flag) {
  append_integer(call.answer, flag ? 1U : 0U);
}

void check_suffix(const ScpiCall& call) {
  if (call.suffixes[0] != 1) throw ScpiFault{fault::kHeaderSuffixOutOfRange};
}

/// Which of two words a parameter is: true for the first.
bool parse_either(const ScpiCall& call, std::string_view first, std::string_view second) {
  if (is_word(call.parameters[0], first)) return true;
  if (is_word(call.parameters[0], second)) return false;
  throw ScpiFault{fault::kIllegalParameterValue};
}

}  // namespace

std::vector<ScpiCommand> VirtualLoad::commands() {
  std::vector<ScpiCommand> commands;
  add_current_commands(commands);
  add_input_commands(commands);
  add_guard_commands(commands);
  add_list_commands(commands);
  add_trigger_commands(commands);
  add_measure_commands(commands);
  return commands;
}

void VirtualLoad::add_current_commands(std::vector<ScpiCommand>& commands) {
  const NumberLimits current{0.0, spec_.max_current_a, 0.0};
  const auto mode = [](ScpiCall& call) {
    if (!is_word(call.parameters[0], "CURRent")) throw ScpiFault{fault::kIllegalParameterValue};
  };
  commands.insert(
      commands.end(),
      {{"[SOURce:]FUNCtion:MODE", mode, 1, 1},
       {"[SOURce:]FUNCtion:MODE?", [](ScpiCall& call) { call.answer += "CURR"; }},
       {"[SOURce:]CURRent[:LEVel][:IMMediate][:AMPLitude]",
        [this, current](ScpiCall& call) {
          set(settings_.setpoint_a, parse_number(call.parameters[0], "A", current), call.now);
        },
        1, 1},
       {"[SOURce:]CURRent[:LEVel][:IMMediate][:AMPLitude]?",
        [this, current](ScpiCall& call) { append_setting(call, settings_.setpoint_a, current); }, 0,
        1},
       {"[SOURce:]CURRent:MODE",
        [this](ScpiCall& call) { set_list_mode(parse_either(call, "LIST", "FIXed"), call.now); }, 1,
        1},
       {"[SOURce:]CURRent:MODE?",
        [this](ScpiCall& call) { call.answer += settings_.list_mode ? "LIST" : "FIX"; }}});
}

void VirtualLoad::add_input_commands(std::vector<ScpiCommand>& commands) {
  for (const char* const header : {"INPut#[:STATe]", "OUTPut#[:STATe]"}) {
    commands.push_back({header,
                        [this](ScpiCall& call) {
                          check_suffix(call);
                          switch_input(parse_boolean(call.parameters[0]), call.now);
                        },
                        1, 1});
  }
  for (const char* const header : {"INPut#[:STATe]?", "OUTPut#[:STATe]?"}) {
    commands.push_back({header, [this](ScpiCall& call) {
                          check_suffix(call);
                          guard(call.now);
                          append_flag(call, input_on_ || (stuck_on_ && !stuck_unseen_));
                        }});
  }
  commands.push_back({"SYSTem:RSENse",
                      [this](ScpiCall& call) {
                        guard(call.now);
                        settings_.remote_sense = parse_boolean(call.parameters[0]);
                      },
                      1, 1});
  commands.push_back(
      {"SYSTem:RSENse?", [this](ScpiCall& call) { append_flag(call, settings_.remote_sense); }});
}

void VirtualLoad::add_guard_commands(std::vector<ScpiCommand>& commands) {
  struct Guard {
    std::string_view set;
    std::string_view query;
    double& setting;
    std::string_view unit;
    NumberLimits limits;
  };
  const Guard guards[] = {
      {"[SOURce:]CURRent:PROTection[:LEVel]",
       "[SOURce:]CURRent:PROTection[:LEVel]?",
       settings_.current_protection_a,
       "A",
       {0.0, spec_.max_current_a, spec_.max_current_a}},
      {"[SOURce:]POWer:PROTection[:LEVel]",
       "[SOURce:]POWer:PROTection[:LEVel]?",
       settings_.power_protection_w,
       "W",
       {0.0, spec_.max_power_w, spec_.max_power_w}},
      {"[SOURce:]VOLTage:PROTection:LOW",
       "[SOURce:]VOLTage:PROTection:LOW?",
       settings_.low_voltage_stop_v,
       "V",
       {0.0, spec_.max_voltage_v, 0.0}},
      {"SYSTem:WATChdog", "SYSTem:WATChdog?", settings_.watchdog_s, "S", kWatchdog},
  };
  for (const Guard& row : guards) {
    commands.push_back(
        {row.set,
         [this, &setting = row.setting, unit = row.unit, limits = row.limits](ScpiCall& call) {
           set(setting, parse_number(call.parameters[0], unit, limits), call.now);
         },
         1, 1});
    commands.push_back({row.query,
                        [&setting = row.setting, limits = row.limits](ScpiCall& call) {
                          append_setting(call, setting, limits);
                        },
                        0, 1});
  }
  const auto clear = [this](ScpiCall&) {
    blocked_ = false;
    tripped_ = 0;
  };
  commands.insert(commands.end(), {{"[SOURce:]CURRent:PROTection:TRIPped?",
                                    [this](ScpiCall& call) {
                                      guard(call.now);
                                      append_flag(call, tripped_ == fault::kOverCurrentTripped);
                                    }},
                                   {"[SOURce:]CURRent:PROTection:CLEar", clear},
                                   {"INPut:PROTection:TRIPped?",
                                    [this](ScpiCall& call) {
                                      guard(call.now);
                                      append_flag(call, tripped_ != 0);
                                    }},
                                   {"INPut:PROTection:CLEar", clear}});
}

void VirtualLoad::set_list(std::vector<double>& values, const ScpiCall& call, const char* unit,
                           const NumberLimits& limits) {
  guard(call.now);
  if (settings_.list.playing()) throw ScpiFault{fault::kSettingsConflict};
  std::vector<double> parsed;
  parsed.reserve(call.parameters.size());
  for (const std::string_view parameter : call.parameters)
    parsed.push_back(parse_number(parameter, unit, limits));
  values = std::move(parsed);
}

void VirtualLoad::add_list_commands(std::vector<ScpiCommand>& commands) {
  const NumberLimits current{0.0, spec_.max_current_a, 0.0};
  ListPlayer& list = settings_.list;
  const auto points = [](const std::vector<double>& values) {
    return [&values](ScpiCall& call) {
      append_integer(call.answer, static_cast<unsigned>(values.size()));
    };
  };
  const auto content = [](const std::vector<double>& values) {
    return [&values](ScpiCall& call) { append_numbers(call, values); };
  };
  const auto set_count = [this, &list](ScpiCall& call) {
    guard(call.now);
    const bool endless = is_word(call.parameters[0], "INFinity");
    list.count =
        endless ? ListPlayer::kEndless : std::round(parse_number(call.parameters[0], "", kCount));
  };
  const auto ask_count = [&list](ScpiCall& call) {
    append_number(call.answer, std::min(list.count, 9.9e37));  // SCPI-1999 Vol 1, 7.2.1.4
  };
  commands.insert(
      commands.end(),
      {{"[SOURce:]LIST:CURRent[:LEVel]",
        [this, &list, current](ScpiCall& call) { set_list(list.currents_a, call, "A", current); },
        1, kMostPoints},
       {"[SOURce:]LIST:CURRent[:LEVel]?", content(list.currents_a)},
       {"[SOURce:]LIST:CURRent[:LEVel]:POINts?", points(list.currents_a)},
       {"[SOURce:]LIST:DWELl",
        [this, &list](ScpiCall& call) { set_list(list.dwells_s, call, "S", kDwell); }, 1,
        kMostPoints},
       {"[SOURce:]LIST:DWELl?", content(list.dwells_s)},
       {"[SOURce:]LIST:DWELl:POINts?", points(list.dwells_s)},
       {"[SOURce:]LIST:COUNt", set_count, 1, 1},
       {"[SOURce:]LIST:COUNt?", ask_count}});
}

void VirtualLoad::add_trigger_commands(std::vector<ScpiCommand>& commands) {
  commands.insert(
      commands.end(),
      {{"INITiate[:IMMediate][:ALL]", [this](ScpiCall& call) { initiate(call.now); }},
       {"ABORt", [this](ScpiCall& call) { abort_list(call.now); }},
       {"*TRG", [this](ScpiCall& call) { trigger(call.now); }},
       {"TRIGger[:SEQuence][:IMMediate]", [this](ScpiCall& call) { trigger(call.now); }},
       {"TRIGger[:SEQuence]:SOURce",
        [this](ScpiCall& call) {
          settings_.waits_for_bus = parse_either(call, "BUS", "IMMediate");
        },
        1, 1},
       {"TRIGger[:SEQuence]:SOURce?",
        [this](ScpiCall& call) { call.answer += settings_.waits_for_bus ? "BUS" : "IMM"; }}});
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

}  // namespace sagbench::drivers::virtual_bench
