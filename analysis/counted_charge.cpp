#include "analysis/counted_charge.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>
#include <string_view>

#include "analysis/capacity.hpp"
#include "analysis/charge_estimate.hpp"
#include "analysis/charge_state.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kHour_s = 3600.0;

double offset_half_a(const BenchAccuracy& accuracy) {
  return accuracy.load_current.of_range * accuracy.load_current.range;
}

/// The first sample after the last recharge before samples[at].
std::size_t first_since_full(const Recording& recording, std::size_t at) {
  std::size_t first = 0;
  for (std::size_t i = 0; i <= at; ++i) {
    const Step& step = recording.steps[static_cast<std::size_t>(recording.samples[i].step)];
    if (step.kind == StepKind::recharge) first = i + 1;
  }
  return std::min(first, at);
}

/// Of the capacity, without what stands in the counted charge as well and cancels.
double own_u_ah(const UncertaintyBudget& budget) {
  constexpr std::array<std::string_view, 3> kShared = {
      "gain of the current", "offset of the current", "rate of the clock"};
  UncertaintyBudget own = budget;
  std::erase_if(own.terms, [&](const BudgetTerm& term) {
    return std::ranges::find(kShared, term.input) != kShared.end();
  });
  return own.combined();
}

void add_measured(const Capacity& capacity, const BenchAccuracy& accuracy, double removed_ah,
                  double hours, UncertaintyBudget& budget) {
  const double full_ah = capacity.charge_ah.value;
  const double share = removed_ah / full_ah;
  const double capacity_h = capacity.mean_current_a > 0.0 ? full_ah / capacity.mean_current_a : 0.0;
  budget.add_rectangular("offset of the current", offset_half_a(accuracy), "A",
                         -(hours - share * capacity_h) / full_ah);
  budget.add_normal("capacity, without gain and offset of the current",
                    own_u_ah(capacity.charge_budget), "Ah", share / full_ah);
}

void add_rated(const BenchAccuracy& accuracy, double full_ah, double removed_ah, double hours,
               UncertaintyBudget& budget) {
  const double share = removed_ah / full_ah;
  budget.add_rectangular("rated capacity for the pack's own", 1.0 - kReplaceBelow, "1", share);
  budget.add_rectangular("gain of the current", accuracy.load_current.of_reading, "1", -share);
  budget.add_rectangular("offset of the current", offset_half_a(accuracy), "A", -hours / full_ah);
}

}  // namespace

Flow counted_flow(const Recording& recording, std::size_t at, double from_s) {
  const std::span<const Sample> samples = recording.samples;
  Flow total;
  for (std::size_t i = first_since_full(recording, at) + 1; i <= at; ++i) {
    if (samples[i - 1].time_s < from_s) continue;
    if (samples[i - 1].step == samples[i].step)
      total += moved(samples.subspan(i - 1, 2), recording.gaps);
    else
      total += flow(samples.subspan(i, 1),
                    recording.steps[static_cast<std::size_t>(samples[i].step)].start_s,
                    samples[i].time_s);
  }
  return total;
}

double counted_u_ah(const Recording& recording, double from_s, std::size_t at) {
  const Flow counted = counted_flow(recording, at, from_s);
  return std::hypot(rectangular(recording.accuracy.load_current.of_reading * counted.charge_ah),
                    rectangular(offset_half_a(recording.accuracy)) * counted.duration_s / kHour_s,
                    std::sqrt(counted.gap_variance_ah2));
}

CountedCharge charge_by_counting(const Recording& recording, const ChargeState& charge,
                                 const Finding<Capacity>& capacity, std::size_t at) {
  const Flow counted = counted_flow(recording, at, -std::numeric_limits<double>::infinity());
  const double hours = counted.duration_s / kHour_s;
  const double removed_ah = charge.removed_ah(at);
  CountedCharge found;
  if (capacity)
    add_measured(*capacity, recording.accuracy, removed_ah, hours, found.budget);
  else
    add_rated(recording.accuracy, charge.reference_ah(), removed_ah, hours, found.budget);
  found.budget.add_normal("charge in gaps", std::sqrt(counted.gap_variance_ah2), "Ah",
                          -1.0 / charge.reference_ah());
  found.charge = {charge.charge(at), kCoverageFactor * found.budget.combined(), kCoverageFactor};
  return found;
}

}  // namespace sagbench::analysis
