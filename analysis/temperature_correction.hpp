#pragma once
// Capacity at a reference temperature, by a coefficient that somebody states.

#include "analysis/accuracy.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

struct TemperatureCoefficient {
  double per_k = 0.0;  // change of the capacity for a kelvin, as a share of that at `reference_c`
  double reference_c = 20.0;
};

struct CorrectedCapacity {
  TemperatureCoefficient coefficient;
  Finding<Measured> charge_ah;
};

/// C / (1 + coefficient (temperature - reference)) (IEC 60896-11 and -21, capacity test; from
/// memory). Beside the capacity's own uncertainty that of the thermometer counts; the coefficient
/// is taken as exact. Missing without a capacity or its temperature, and where the formula has no
/// meaning.
Finding<Measured> capacity_at_reference(const Finding<Capacity>& capacity,
                                        const BenchAccuracy& accuracy,
                                        const TemperatureCoefficient& coefficient);

}  // namespace sagbench::analysis
