#pragma once
// Open-circuit voltage of one rested cell against its state of charge.

#include <span>
#include <vector>

#include "analysis/chemistry.hpp"

namespace sagbench::drivers::virtual_bench {

struct OpenCircuitPoint {
  double charge;  // state of charge, 1 full, 0 empty, below 0 over-discharged
  double voltage_v;
};

/// A monotone cubic through published points: it adds no bumps between them (F. N. Fritsch and R.
/// E. Carlson, "Monotone Piecewise Cubic Interpolation", SIAM J. Numer. Anal. 17 (1980) 238-246).
/// Constant beyond both ends.
class OpenCircuitCurve {
 public:
  /// Precondition: at least two points, charge and voltage strictly rising.
  explicit OpenCircuitCurve(std::span<const OpenCircuitPoint> points);

  double voltage_v(double charge) const noexcept;

 private:
  std::vector<OpenCircuitPoint> points_;
  std::vector<double> slope_;  // V per unit of charge, at each point
};

/// After a discharge and a long rest. The sources of the points stand beside them.
const OpenCircuitCurve& open_circuit_of(analysis::Chemistry chemistry);

}  // namespace sagbench::drivers::virtual_bench
