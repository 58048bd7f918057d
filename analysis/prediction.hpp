#pragma once
// How long a radio will stay on the air and how low its supply will fall, from what the run has
// measured before.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// A stretch of what the operator sends.
struct SentPiece {
  double seconds = 0.0;
  bool transmitting = false;
  double level = 0.0;  // 0 = transmit idle current, 1 = transmit peak current
};

/// The transmit step to come.
struct Outing {
  Radio radio;
  std::vector<SentPiece> sent;   // a typical hour or more of it, with several overs
  bool until_supply_min = true;  // else the discharge's end alone ends it
  std::optional<double> hours;   // as planned; absent: until the radio leaves the air
  double charge_before_ah = 0.0;
};

/// From the first discharge that reached its end and the peaks of `before`: the discharge's voltage
/// with its own sag added is what the pack would give without resistance; resistances come from the
/// peaks, the rests and the recoveries at each state of charge; between and below they are
/// interpolated. Through them the pattern is followed at each state of charge. The radio leaves the
/// air where half its overs would make its supply fall to supply_min, or where the pack or its
/// lowest tapped cell reaches the end of discharge. Uncertainty: resistances 10 %, the charge of a
/// recharge 0.5 %, the lag (see Lag) and its half-width, each rectangular, by prediction anew; the
/// pattern's own mean. Holds at the temperature of what was measured. Missing without a discharge
/// or without peaks.
Finding<Prediction> predict(const Recording& before, const Outing& outing);

}  // namespace sagbench::analysis
