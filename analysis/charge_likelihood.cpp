#include "analysis/charge_likelihood.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace sagbench::analysis {
namespace {

constexpr int kCells = 2000;
constexpr double kOutside = 0.025;   // on either side
constexpr double kHopeless = -50.0;  // logarithm of a likelihood against the best of either kind

}  // namespace

ChargeLikelihood::ChargeLikelihood(const OpenCircuitCurve& curve, const RestReading& rest)
    : nearest_(std::numeric_limits<double>::infinity()) {
  const double from_ah = curve.points.back().removed_ah;
  const double step_ah = (curve.points.front().removed_ah - from_ah) / kCells;
  // A curve and a rest that are exact would leave no cell likely.
  const double floor_v =
      std::abs(curve.points.front().voltage_v.value - curve.points.back().voltage_v.value) / kCells;
  for (int i = 0; i < kCells; ++i) {
    const double removed_ah = from_ah + (i + 0.5) * step_ah;
    const OpenCircuitPoint point = curve.at(removed_ah);
    const double slope_v_per_ah = (curve.at(removed_ah + step_ah / 2.0).voltage_v.value -
                                   curve.at(removed_ah - step_ah / 2.0).voltage_v.value) /
                                  step_ah;
    const double u_v = std::hypot(std::hypot(rest.own_u_v, floor_v), point.own_u_v,
                                  slope_v_per_ah * rest.since_u_ah);
    const double distance = (rest.voltage_v - point.voltage_v.value) / u_v;
    nearest_ = std::min(nearest_, std::abs(distance));
    cells_.push_back(
        {curve.charge(removed_ah + rest.since_ah), -distance * distance / 2.0 - std::log(u_v)});
  }
}

void ChargeLikelihood::also(const Measured& counted) {
  const double u = std::max(counted.expanded_uncertainty / counted.coverage_factor, 1.0 / kCells);
  double best = -std::numeric_limits<double>::infinity();
  for (const Cell& cell : cells_) best = std::max(best, cell.log_likelihood);
  for (Cell& cell : cells_) {
    const double distance = (cell.charge - counted.value) / u;
    cell.log_likelihood = cell.log_likelihood - best - distance * distance / 2.0;
  }
  const bool hopeless =
      std::ranges::all_of(cells_, [](const Cell& cell) { return cell.log_likelihood < kHopeless; });
  if (hopeless) cells_.clear();
}

std::optional<ChargeInterval> ChargeLikelihood::interval() const {
  if (cells_.empty()) return std::nullopt;
  const double best = std::ranges::max(cells_, {}, &Cell::log_likelihood).log_likelihood;
  std::vector<double> weights;
  for (const Cell& cell : cells_) weights.push_back(std::exp(cell.log_likelihood - best));
  const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
  double sum = 0.0;
  for (std::size_t i = 0; i < cells_.size(); ++i) sum += weights[i] * cells_[i].charge;
  return ChargeInterval{sum / total, quantile(weights, total, kOutside),
                        quantile(weights, total, 1.0 - kOutside)};
}

double ChargeLikelihood::quantile(const std::vector<double>& weights, double total,
                                  double share) const {
  double below = 0.0;
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    below += weights[i];
    if (below >= share * total) return cells_[i].charge;
  }
  return cells_.back().charge;
}

}  // namespace sagbench::analysis
