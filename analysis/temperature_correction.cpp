#include "analysis/temperature_correction.hpp"

#include <cmath>

namespace sagbench::analysis {

Finding<Measured> capacity_at_reference(const Finding<Capacity>& capacity,
                                        const BenchAccuracy& accuracy,
                                        const TemperatureCoefficient& coefficient) {
  if (!capacity) return Finding<Measured>::missing(capacity.why());
  if (!capacity->temperature_c)
    return Finding<Measured>::missing("the temperature of the discharge was not measured");
  const double factor =
      1.0 + coefficient.per_k * (*capacity->temperature_c - coefficient.reference_c);
  if (!std::isfinite(factor))
    return Finding<Measured>::missing("the coefficient or a temperature is no number");
  if (!(factor > 0.0))
    return Finding<Measured>::missing(
        "so far from the reference temperature the coefficient leaves no capacity");
  const Measured& raw = capacity->charge_ah;
  const double value = raw.value / factor;
  const double of_thermometer = raw.coverage_factor *
                                rectangular(accuracy.temperature_c.value_or(0.0)) * value *
                                coefficient.per_k / factor;
  return Measured{value, std::hypot(raw.expanded_uncertainty / factor, of_thermometer),
                  raw.coverage_factor};
}

}  // namespace sagbench::analysis
