#include "analysis/accuracy.hpp"

#include <cmath>

namespace sagbench::analysis {

double AccuracyTerm::half_width(double reading) const noexcept {
  return of_reading * std::abs(reading) + of_range * range;
}

AccuracyTerm default_voltage_accuracy(double range_v) noexcept {
  return {0.005, 0.001, range_v};
}
AccuracyTerm default_current_accuracy(double range_a) noexcept {
  return {0.01, 0.002, range_a};
}

const AccuracyTerm& voltage_term(const BenchAccuracy& accuracy) noexcept {
  return accuracy.meter_voltage ? *accuracy.meter_voltage : accuracy.load_voltage;
}

double leads_half_width_ohm(const BenchAccuracy& accuracy) noexcept {
  return accuracy.meter_voltage ? 0.0 : accuracy.leads_ohm;
}

double rectangular(double half_width) noexcept {
  return half_width / std::sqrt(3.0);
}

}  // namespace sagbench::analysis
