#include "analysis/resistance_budget.hpp"

namespace sagbench::analysis {

UncertaintyBudget resistance_budget(const AccuracyTerm& voltage, const AccuracyTerm& current,
                                    double leads_ohm, const TwoReadings& readings) {
  const double ohm = readings.ohm();
  UncertaintyBudget budget;
  budget.add_rectangular("gain of the voltage", voltage.of_reading, "1", ohm);
  budget.add_rectangular("gain of the current", current.of_reading, "1", -ohm);
  budget.add_normal("noise of the voltage", readings.noise_v, "V", 1.0 / readings.rise_a);
  budget.add_normal("noise of the current", readings.noise_a, "A", -ohm / readings.rise_a);
  budget.add_rectangular("leads, not sensed", leads_ohm, "ohm", 1.0);
  return budget;
}

bool below_nothing(const Measured& ohm) noexcept {
  return ohm.value < -2.0 * ohm.expanded_uncertainty;
}

}  // namespace sagbench::analysis
