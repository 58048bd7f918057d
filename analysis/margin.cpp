#include "analysis/margin.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/rating.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::size_t kRestReadings = 5;

void add_voltage(UncertaintyBudget& budget, const BenchAccuracy& accuracy, double voltage_v) {
  const AccuracyTerm& term = voltage_term(accuracy);
  budget.add_rectangular("gain of the voltage", term.of_reading, "1", voltage_v);
  budget.add_rectangular("offset of the voltage", term.of_range * term.range, "V", 1.0);
}

/// Of the state of charge tested nearest to `charge`.
double sag_ohm_near(std::span<const SagLine> lines, double charge) {
  if (lines.empty()) return 0.0;
  const SagLine& nearest = *std::ranges::min_element(
      lines, {}, [charge](const SagLine& line) { return std::abs(line.charge - charge); });
  return std::max(0.0, nearest.ohm);
}

/// Of the supply at `point` of `curve`.
UncertaintyBudget supply_budget(const BenchAccuracy& accuracy, const Radio& radio,
                                const SupplyCurve& curve, const SupplyPoint& point,
                                double relative_u, double sag_ohm) {
  const double peak_a = radio.transmit_peak_a;
  const AccuracyTerm& current = accuracy.load_current;
  const double ohm = radio.cable_ohm + sag_ohm;
  UncertaintyBudget budget;
  add_voltage(budget, accuracy, point.supply_v + peak_a * radio.cable_ohm);
  budget.add_rectangular("gain of the current", current.of_reading, "1", -peak_a * ohm);
  budget.add_rectangular("offset of the current", current.of_range * current.range, "A", -ohm);
  budget.add_rectangular("leads, not sensed", leads_half_width_ohm(accuracy), "ohm", -peak_a);
  budget.add_normal("scatter of the readings", point.scatter_v, "V", 1.0);
  budget.add_rectangular("way between two tested charges", point.between_v, "V", 1.0);
  budget.add_normal("charge at which it stands",
                    (1.0 - point.charge) * relative_u / kCoverageFactor, "1",
                    slope_at(curve, point.charge));
  return budget;
}

}  // namespace

std::optional<SupplyMargin> supply_margin(const BenchAccuracy& accuracy, const Radio& radio,
                                          std::span<const SupplyCurve> curves, double relative_u,
                                          std::span<const SagLine> lines) {
  const SupplyCurve* curve_of_lowest = nullptr;
  SupplyMargin found;
  found.deepest = 1.0;
  for (const SupplyCurve& curve : curves) {
    const auto point = lowest_down_to(curve, kLastUsefulCharge);
    if (!point) continue;
    found.deepest = std::min(found.deepest, curve.points.back().charge);
    if (curve_of_lowest && found.lowest.supply_v <= point->supply_v) continue;
    curve_of_lowest = &curve;
    found.lowest = *point;
  }
  if (!curve_of_lowest) return std::nullopt;
  found.sag_ohm = sag_ohm_near(lines, found.lowest.charge);
  found.budget =
      supply_budget(accuracy, radio, *curve_of_lowest, found.lowest, relative_u, found.sag_ohm);
  found.margin_v = {found.lowest.supply_v - radio.supply_min_v,
                    kCoverageFactor * found.budget.combined(), kCoverageFactor};
  return found;
}

std::optional<Measured> full_rest_voltage(const Recording& recording) {
  double sum = 0.0;
  std::size_t count = 0;
  for (const Sample& sample : recording.samples) {
    const Step& step = recording.steps[static_cast<std::size_t>(sample.step)];
    if (sample.phase != Phase::rest || step.charge_before_ah > 0.0 || count == kRestReadings) break;
    sum += sample.voltage_v;
    ++count;
  }
  if (count == 0) return std::nullopt;
  const double mean_v = sum / static_cast<double>(count);
  UncertaintyBudget budget;
  add_voltage(budget, recording.accuracy, mean_v);
  return Measured{mean_v, kCoverageFactor * budget.combined(), kCoverageFactor};
}

}  // namespace sagbench::analysis
