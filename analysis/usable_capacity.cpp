#include "analysis/usable_capacity.hpp"

#include <algorithm>

namespace sagbench::analysis {
namespace {

void lower_to(std::optional<double>& least, double value) {
  least = std::min(least.value_or(value), value);
}

double removed_ah(double charge, double reference_ah) {
  return std::clamp(1.0 - charge, 0.0, 1.0) * reference_ah;
}

/// Where the radio left the air, or would have.
std::optional<double> end_ah(const std::optional<GiveUp>& gave_up,
                             std::span<const SupplyCurve> curves, const Radio& radio,
                             double reference_ah) {
  std::optional<double> least;
  if (gave_up) least = gave_up->removed_ah;
  for (const SupplyCurve& curve : curves)
    if (const auto charge = charge_at_supply(curve, radio.supply_min_v))
      lower_to(least, removed_ah(*charge, reference_ah));
  return least;
}

/// Highest tested charge at which the pack did not hold such a peak.
std::optional<double> refused_at(std::span<const SagLine> lines, const Radio& radio) {
  std::optional<double> highest;
  for (const SagLine& line : lines)
    if (refuses(line, radio)) highest = std::max(highest.value_or(line.charge), line.charge);
  return highest;
}

/// Lowest charge above `refused` at which the supply was found sufficient.
std::optional<double> deepest_held(std::span<const SupplyCurve> curves, const Radio& radio,
                                   const std::optional<double>& refused) {
  std::optional<double> deepest;
  for (const SupplyCurve& curve : curves) {
    if (curve.points.empty()) continue;
    if (curve.points.front().supply_v <= radio.supply_min_v) return std::nullopt;
    for (const SupplyPoint& point : curve.points)
      if (!refused || point.charge > *refused) lower_to(deepest, point.charge);
  }
  return deepest;
}

}  // namespace

std::optional<UsableCapacity> usable_capacity(const std::optional<GiveUp>& gave_up,
                                              std::span<const SupplyCurve> curves,
                                              std::span<const SagLine> lines, const Radio& radio,
                                              double reference_ah) {
  if (gave_up && gave_up->end == StepEnd::supply_min)
    return UsableCapacity{gave_up->removed_ah, false};
  const auto refused = refused_at(lines, radio);
  const auto end = end_ah(gave_up, curves, radio, reference_ah);
  if (end && (!refused || *end <= removed_ah(*refused, reference_ah)))
    return UsableCapacity{*end, false};
  const auto deepest = deepest_held(curves, radio, refused);
  if (!deepest || *deepest >= 1.0) return std::nullopt;
  return UsableCapacity{removed_ah(*deepest, reference_ah), true};
}

}  // namespace sagbench::analysis
