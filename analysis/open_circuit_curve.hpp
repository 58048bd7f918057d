#pragma once
// Open-circuit voltage against charge: from rests, from a slow discharge, or from both.

#include <cstddef>
#include <vector>

#include "analysis/accuracy.hpp"
#include "analysis/finding.hpp"
#include "analysis/rest_point.hpp"
#include "analysis/slow_discharge.hpp"

namespace sagbench::analysis {

struct OpenCircuitPoint {
  double removed_ah = 0.0;
  Measured voltage_v;
  double own_u_v = 0.0;  // standard, without the voltmeter's gain and offset
};

/// Rests minus slow discharge, at the charges of the rests.
struct CurveDifference {
  std::size_t rests = 0;
  double mean_v = 0.0;
  double largest_v = 0.0;  // by size; with its sign
  double at_removed_ah = 0.0;
};

/// A rest that was reached by charging, minus the curve of discharge at its charge.
struct HysteresisPoint {
  double removed_ah = 0.0;
  Measured voltage_v;
};

struct OpenCircuitCurve {
  double full_ah = 0.0;                    // the scale of charge
  std::vector<OpenCircuitPoint> points{};  // at least two, in order of the charge removed
  std::vector<RestPoint> rests;            // all of the run, in order of time
  Finding<SlowDischarge> slow;
  Finding<CurveDifference> difference{};
  Finding<std::vector<HysteresisPoint>> hysteresis{};

  /// On straight lines between the points; the outermost hold beyond them. Between rests alone
  /// nobody knows where a falling curve lies: own_u_v then grows to that of all voltages between
  /// the two.
  OpenCircuitPoint at(double removed_ah) const;
  double charge(double removed_ah) const { return 1.0 - removed_ah / full_ah; }
};

/// On the branch of discharge. Where there are rests and a slow discharge, the discharge is moved
/// to the rests, on straight lines between them and alike beyond; what is then in doubt between two
/// rests is how they differ from the discharge, and what is in doubt about it as far as they are
/// apart. Rests alone make a curve from two charges on. Hysteresis is told from rests that were
/// reached by charging to 95 % at most: further up a charge leaves more than that behind. Missing,
/// with why, where there is neither. `full_ah`: positive.
Finding<OpenCircuitCurve> open_circuit_curve(std::vector<RestPoint> rests,
                                             Finding<SlowDischarge> slow,
                                             const BenchAccuracy& accuracy, double full_ah);

}  // namespace sagbench::analysis
