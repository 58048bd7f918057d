#include "analysis/margin.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/rating.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::size_t kRestReadings = 5;

double square(double value) {
  return value * value;
}

double voltage_variance(const BenchAccuracy& accuracy, double voltage_v) {
  const AccuracyTerm& term = voltage_term(accuracy);
  return square(rectangular(term.of_reading * voltage_v)) +
         square(rectangular(term.of_range * term.range));
}

double mean_sag_ohm(std::span<const SagLine> lines) {
  double sum = 0.0;
  for (const SagLine& line : lines) sum += std::max(0.0, line.ohm);
  return lines.empty() ? 0.0 : sum / static_cast<double>(lines.size());
}

/// Standard uncertainty of the supply at `point` of `curve`.
double supply_u(const BenchAccuracy& accuracy, const Radio& radio, const SupplyCurve& curve,
                const SupplyPoint& point, double relative_u, double sag_ohm) {
  const double peak_a = radio.transmit_peak_a;
  const double current_u = rectangular(accuracy.load_current.half_width(peak_a));
  const double charge_u = (1.0 - point.charge) * relative_u / kCoverageFactor;
  return std::sqrt(voltage_variance(accuracy, point.supply_v + peak_a * radio.cable_ohm) +
                   square(current_u * (radio.cable_ohm + sag_ohm)) +
                   square(rectangular(leads_half_width_ohm(accuracy) * peak_a)) +
                   square(point.scatter_v) + square(rectangular(point.between_v)) +
                   square(slope_at(curve, point.charge) * charge_u));
}

}  // namespace

std::optional<SupplyMargin> supply_margin(const BenchAccuracy& accuracy, const Radio& radio,
                                          std::span<const SupplyCurve> curves, double relative_u,
                                          std::span<const SagLine> lines) {
  const double sag_ohm = mean_sag_ohm(lines);
  std::optional<SupplyMargin> lowest;
  double deepest = 1.0;
  for (const SupplyCurve& curve : curves) {
    const auto point = lowest_down_to(curve, kLastUsefulCharge);
    if (!point) continue;
    deepest = std::min(deepest, curve.points.back().charge);
    if (lowest && lowest->supply_v <= point->supply_v) continue;
    const double u = supply_u(accuracy, radio, curve, *point, relative_u, sag_ohm);
    lowest = {
        .margin_v = {point->supply_v - radio.supply_min_v, kCoverageFactor * u, kCoverageFactor},
        .supply_v = point->supply_v,
        .charge = point->charge};
  }
  if (lowest) lowest->deepest = deepest;
  return lowest;
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
  const double u = std::sqrt(voltage_variance(recording.accuracy, mean_v));
  return Measured{mean_v, kCoverageFactor * u, kCoverageFactor};
}

}  // namespace sagbench::analysis
