#pragma once
// The equivalent circuit of a pack over its charge, from everything that a run recorded.

#include <cstddef>
#include <vector>

namespace sagbench::analysis {

/// A value and its standard error.
struct Fitted {
  double value = 0.0;
  double standard_error = 0.0;
};

/// Values at some charges, straight lines between them, the last value beyond the ends.
struct FittedCurve {
  std::vector<double> removed_ah;
  std::vector<Fitted> values;

  double at(double removed_ah) const noexcept;
};

struct ChargeBranch {
  Fitted tau_s;
  FittedCurve ohm;
};

/// Voltage = source - R0 i - what each branch drops: R in parallel with a capacitor of tau / R.
struct ChargeCircuit {
  FittedCurve source_v;  // open-circuit voltage
  FittedCurve r0_ohm;
  std::vector<ChargeBranch> branches;  // the quickest first
  /// Of all fitted values, in the order above (source, R0, R1 and so on, then the time constants),
  /// row after row; 0 for a resistance that is held at none.
  std::vector<double> correlation;
  double residual_rms_v = 0.0;
  double pulse_miss_v = 0.0;  // at most, of 95 % of the readings within kSoon_s of an edge
  double lag_1 = 0.0;         // autocorrelation of the residuals from one reading to the next
  bool white = false;         // Ljung and Box do not reject at 5 % that they are noise
  double longest_s = 0.0;     // no slower branch could be told
  std::size_t readings = 0;
  std::size_t outliers = 0;  // readings that were given less weight
};

}  // namespace sagbench::analysis
