#include "analysis/capacity_at_current.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace sagbench::analysis {
namespace {

bool compares(const RatePoint& run, const RatePoint& other) {
  if (!ended_alike(run, other)) return false;
  if (!run.temperature_c) return true;
  return other.temperature_c &&
         std::abs(*other.temperature_c - *run.temperature_c) <= kLikeTemperature_k;
}

}  // namespace

std::optional<RatePoint> whole_discharge(const Finding<Capacity>& capacity, const Pack& pack) {
  if (!capacity) return std::nullopt;
  RatePoint point{capacity->mean_current_a, capacity->charge_ah, capacity->to_voltage_v,
                  capacity->temperature_c};
  if (capacity->ended_by == StepEnd::cell_end_of_discharge)
    point.cell_end_v = cell_end_of_discharge_v(pack);
  return point;
}

CapacityAtCurrent capacity_at_current(const Figures& figures, std::span<const RatePoint> others,
                                      const Pack& pack, double current_a) {
  const auto run = whole_discharge(figures.capacity, pack);
  if (!run) return {Finding<Measured>::missing(figures.capacity.why()), {}};
  std::vector<RatePoint> points = {*run};
  std::ranges::copy_if(others, std::back_inserter(points),
                       [&](const RatePoint& other) { return compares(*run, other); });
  const auto law = peukert(points, pack.chemistry);
  if (!law) return {Finding<Measured>::missing(law.why()), {}};
  auto charge_ah = law->charge_ah(current_a);
  if (!charge_ah) return {std::move(charge_ah), {}};
  return {std::move(charge_ah), law->cautions};
}

}  // namespace sagbench::analysis
