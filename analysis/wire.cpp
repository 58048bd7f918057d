#include "analysis/wire.hpp"

#include <cmath>
#include <numbers>

namespace sagbench::analysis {

double awg_diameter_mm(int gauge) noexcept {
  constexpr double kGauge36_mm = 0.127;
  return kGauge36_mm * std::pow(92.0, (36.0 - gauge) / 39.0);
}

double awg_area_mm2(int gauge) noexcept {
  const double diameter_mm = awg_diameter_mm(gauge);
  return std::numbers::pi / 4.0 * diameter_mm * diameter_mm;
}

double copper_ohm_per_m(double area_mm2, double temperature_c) noexcept {
  return kCopperOhmMm2PerM / area_mm2 * (1.0 + kCopperPerK * (temperature_c - kCopperReference_c));
}

double cable_ohm(const Cable& cable) noexcept {
  constexpr double kConductors = 2.0;
  return kConductors * cable.length_m * copper_ohm_per_m(cable.area_mm2, cable.temperature_c);
}

}  // namespace sagbench::analysis
