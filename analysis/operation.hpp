#pragma once
// How an owner means to operate.

#include <optional>
#include <string>

#include "analysis/radio.hpp"

namespace sagbench::analysis {

struct Operation {
  std::string name;
  Radio radio;
  Mode mode = Mode::ssb;
  double transmit_share = 0.0;  // 0..1 of the time
  double hours = 0.0;
  double other_loads_w = 0.0;
  double recharge_w = 0.0;  // while the sun shines where sun_hours is stated, else all the time
  std::optional<double> sun_hours;  // of the operation's hours
  std::optional<double> carry_limit_kg;
  std::optional<double> temperature_c;
};

}  // namespace sagbench::analysis
