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
/// interpolated. Through them the pattern is followed at each state of charge, down to where an
/// over would first make the supply fall to supply_min, or the pack or its lowest tapped cell
/// reaches the end of discharge. From shortly before that the pattern is played with the radio's
/// switch (see last_overs()) until the radio leaves the air; the mean of several such ends is told.
///
/// Uncertainty (JCGM 100:2008, 5.1: in quadrature; k = 2), each by prediction anew unless said:
/// - resistances: 10 %, rectangular (our choice);
/// - lag: its half-width, rectangular (see Lag);
/// - charge: that of a recharge, 0.5 % rectangular (our choice), and the offset of the load's
///   current reading, times the difference of 1 / mean current on the air and in the discharge. Its
///   gain errs alike in both and cancels, as the voltage's gain and offset do: what is predicted is
///   what the same instruments will read;
/// - the draw of the pattern: of its mean current (from a dozen stretches of it); of the ends
///   played, one of which will come, their standard deviation; before the end, that of the lowest
///   supply of a few stretches;
/// - where a drop-out is lowest, when the supply is looked at: what the ends played went below the
///   limit, rectangular;
/// - noise of the voltage's readings: two standard deviations on the lowest, since that is the
///   extreme of many (our choice); on the hours, one over how fast the supply falls at the end.
/// Holds at the temperature of what was measured. Missing without a discharge or without peaks.
Finding<Prediction> predict(const Recording& before, const Outing& outing);

}  // namespace sagbench::analysis
