#pragma once
// Hours on the air for an owner's way of operating, from a measured run.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

struct Endurance {
  Finding<Measured> hours;         // with the operation's recharge counted; absent: why
  bool hours_are_minimum = false;  // no test drove this radio off the air: at least so many
  bool unlimited = false;          // recharge covers the mean draw
  std::string limited_by;  // "capacity" | "sag" | "end of discharge" | "nothing: recharge covers
                           // the draw" | "does not start"
  double mean_current_a = 0.0;  // radio and other loads, minus recharge
  double rms_current_a = 0.0;
  double energy_needed_wh =
      0.0;  // drawn by radio and other loads in the hours the operation asks for
  // Hours (lower end of the interval) cover the operation. Absent also where too short a minimum
  // leaves it open.
  std::optional<bool> enough;
  Finding<double> recharge_needed_w;  // mean power, beside the operation's own, that would make it
                                      // enough for sure; 0 when it is
  std::optional<bool> carry_ok;       // mass within the operation's limit
  std::vector<std::string> cautions;
};

/// `figures` must come from `recording`. Never guesses a temperature correction: a run at another
/// temperature than the operation's gives a caution.
Endurance endurance(const Recording& recording, const Figures& figures, const Operation& operation);

}  // namespace sagbench::analysis
