#include "analysis/charge_circuit.hpp"

#include <cmath>

#include "analysis/charge_knots.hpp"

namespace sagbench::analysis {

double FittedCurve::at(double charge_removed_ah) const noexcept {
  const KnotPlace place = place_among(removed_ah, charge_removed_ah);
  return std::lerp(values[place.left].value, values[place.right].value, place.share);
}

}  // namespace sagbench::analysis
