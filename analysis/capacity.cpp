#include "analysis/capacity.hpp"

#include <utility>

#include "analysis/capacity_uncertainty.hpp"
#include "analysis/imported_discharge.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {

Finding<Discharge> reference_discharge(const Recording& recording) {
  auto first = Finding<Discharge>::missing("the run has no capacity step");
  bool tried = false;
  for (int step = 0; step < static_cast<int>(recording.steps.size()); ++step) {
    const StepKind kind = recording.steps[static_cast<std::size_t>(step)].kind;
    if (kind != StepKind::capacity && kind != StepKind::imported) continue;
    auto discharge = kind == StepKind::capacity ? capacity_discharge(recording, step)
                                                : imported_discharge(recording, step);
    if (discharge) return discharge;
    if (!tried) first = std::move(discharge);
    tried = true;
  }
  return first;
}

Capacity capacity_of(const Recording& recording, const Discharge& discharge) {
  const Flow total = flow_of(discharge);
  const double noise_a = current_noise_a(discharge);
  UncertaintyBudget charge = charge_budget(recording.accuracy, discharge, total, noise_a);
  UncertaintyBudget energy = energy_budget(recording.accuracy, discharge, total, noise_a);
  Capacity capacity{
      .charge_ah = {total.charge_ah, kCoverageFactor * charge.combined(), kCoverageFactor},
      .energy_wh = {total.energy_wh, kCoverageFactor * energy.combined(), kCoverageFactor},
      .charge_budget = std::move(charge),
      .energy_budget = std::move(energy),
      .to_voltage_v = discharge.to_voltage_v,
      .temperature_c = mean_temperature_c(discharge.samples),
      .ended_by = discharge.ended_by,
      .step = discharge.step};
  if (total.duration_s > 0.0) capacity.mean_current_a = total.charge_ah * 3600.0 / total.duration_s;
  const double it = rated_current_it_a(recording.pack);
  if (it > 0.0) capacity.rate_it = capacity.mean_current_a / it;
  return capacity;
}

std::optional<double> too_little(const Pack& pack, const Finding<Capacity>& capacity) noexcept {
  if (!capacity || !(pack.rated_capacity_ah > 0.0)) return std::nullopt;
  const double share = capacity->charge_ah.value / pack.rated_capacity_ah;
  return share < kReplaceBelow ? std::optional(share) : std::nullopt;
}

}  // namespace sagbench::analysis
