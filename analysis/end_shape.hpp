#pragma once
// How the voltage of a discharge falls at its end.

#include <optional>

#include "analysis/discharge.hpp"
#include "analysis/finding.hpp"

namespace sagbench::analysis {

/// The fall is that from the voltage with a tenth of the discharge to go, down to its end.
struct EndShape {
  double before_v = 0.0;  // pack, with a tenth to go
  /// Charge that its middle third took over charge that its last third took. 1: it fell straight;
  /// ln 2 / ln 1.5 = 1.71: an exponential, whatever its scale; below 1: it eased.
  double steepening = 0.0;
  double log_u =
      0.0;  // standard uncertainty of its natural logarithm: spacing and noise of readings
};

/// Missing where the fall was not watched, or there is none: the last tenth falls less than three
/// times as far as the one before.
Finding<EndShape> end_shape(const Discharge& discharge);

/// A fall on the way, after which the voltage went on as flat as before.
struct VoltageStep {
  double before_v = 0.0;
  double after_v = 0.0;
  double removed_ah = 0.0;  // when it was over, since the discharge began
};

/// The first by `least_v` or more after a tenth of the discharge: somewhere on it the voltage fell
/// at least four times as steeply as it did before and after. In hundredths of the discharge.
std::optional<VoltageStep> voltage_step(const Discharge& discharge, double least_v);

}  // namespace sagbench::analysis
