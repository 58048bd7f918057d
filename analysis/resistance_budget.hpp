#pragma once
// What is in doubt about a resistance that two readings of voltage and current give.

#include "analysis/accuracy.hpp"
#include "analysis/finding.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis {

/// R = fall of the voltage / rise of the current between two readings.
struct TwoReadings {
  double fall_v = 0.0;
  double rise_a = 0.0;   // above 0
  double noise_v = 0.0;  // standard deviation of the difference of the voltages
  double noise_a = 0.0;  // the same of the currents

  double ohm() const noexcept { return fall_v / rise_a; }
};

/// In ohm. An instrument's offset cancels in the difference and its gain scales it; noise does
/// neither. `leads_ohm`: half-width of the leads' resistance that the voltage may lack.
UncertaintyBudget resistance_budget(const AccuracyTerm& voltage, const AccuracyTerm& current,
                                    double leads_ohm, const TwoReadings& readings);

/// The voltage rose with the current by more than twice what is in doubt: that is no resistance.
bool below_nothing(const Measured& ohm) noexcept;
/// Why there is none then.
inline constexpr const char* kVoltageRose = "the voltage rose with the current";

}  // namespace sagbench::analysis
