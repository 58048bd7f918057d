#include "analysis/charge_integral.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>

#include "analysis/accuracy.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSecondsPerHour = 3600.0;

struct Instant {
  double time_s;
  double voltage_v;
  double current_a;
};

Instant at(const Sample& sample, double time_s) {
  return {time_s, sample.voltage_v, sample.current_a};
}

Instant between(const Instant& left, const Instant& right, double time_s) {
  const double share = (time_s - left.time_s) / (right.time_s - left.time_s);
  return {time_s, left.voltage_v + share * (right.voltage_v - left.voltage_v),
          left.current_a + share * (right.current_a - left.current_a)};
}

/// Exact for voltage and current that both run straight from `left` to `right`.
Flow straight(const Instant& left, const Instant& right) {
  const double seconds = right.time_s - left.time_s;
  const double hours = seconds / kSecondsPerHour;
  const auto mean_product = [](double a0, double a1, double b0, double b1) {
    return (2.0 * a0 * b0 + a0 * b1 + a1 * b0 + 2.0 * a1 * b1) / 6.0;
  };
  return {.charge_ah = hours * (left.current_a + right.current_a) / 2.0,
          .energy_wh = hours * mean_product(left.current_a, right.current_a, left.voltage_v,
                                            right.voltage_v),
          .duration_s = seconds,
          .volt_hours = hours * (left.voltage_v + right.voltage_v) / 2.0,
          .square_a2s = seconds * mean_product(left.current_a, right.current_a, left.current_a,
                                               right.current_a),
          .sum_interval_s2 = seconds * seconds};
}

Flow clipped(const Instant& left, const Instant& right, double from_s, double to_s) {
  const double start = std::max(left.time_s, from_s);
  const double end = std::min(right.time_s, to_s);
  if (!(end > start)) return {};
  return straight(between(left, right, start), between(left, right, end));
}

/// The load drew for half of the time that it may have drawn, as far as anybody knows.
Flow unwatched(const Gap& gap, const Sample& left) {
  const double half_s = gap.longest_on_s / 2.0;
  Instant from{gap.start_s, left.voltage_v, gap.current_a};
  Flow flowed = straight(from, {gap.start_s + half_s, left.voltage_v, gap.current_a});
  flowed.sum_interval_s2 = 0.0;  // no reading, no noise of one
  const double charge_u = rectangular(half_width_ah(gap));
  flowed.gap_variance_ah2 = charge_u * charge_u;
  flowed.gap_variance_wh2 = flowed.gap_variance_ah2 * left.voltage_v * left.voltage_v;
  return flowed;
}

/// Across a gap: nothing runs straight there, so only what is known counts.
Flow across(const Gap& gap, const Sample& left, const Sample& right, double from_s, double to_s) {
  Flow total;
  if (from_s <= gap.start_s && gap.end_s <= to_s) total += unwatched(gap, left);
  if (right.commanded_a == 0.0) return total;  // what it reads is an offset
  const double since = std::max(setpoint_since_s(right), gap.end_s);
  total += clipped(at(right, since), at(right, right.time_s), from_s, to_s);
  return total;
}

}  // namespace

const Gap* gap_between(std::span<const Gap> gaps, const Sample& left,
                       const Sample& right) noexcept {
  const auto found = std::ranges::find_if(gaps, [&](const Gap& gap) {
    return gap.start_s >= left.time_s && gap.end_s <= right.time_s && gap.end_s > left.time_s;
  });
  return found == gaps.end() ? nullptr : &*found;
}

std::optional<double> setpoint_edge(const Sample& left, const Sample& right) noexcept {
  const auto& edge_s = right.commanded_since_s;
  if (!edge_s || *edge_s < left.time_s || *edge_s > right.time_s) return std::nullopt;
  if (*edge_s == left.time_s && left.commanded_since_s == edge_s) return std::nullopt;
  return edge_s;
}

Flow& Flow::operator+=(const Flow& other) noexcept {
  charge_ah += other.charge_ah;
  energy_wh += other.energy_wh;
  duration_s += other.duration_s;
  volt_hours += other.volt_hours;
  square_a2s += other.square_a2s;
  sum_interval_s2 += other.sum_interval_s2;
  gap_variance_ah2 += other.gap_variance_ah2;
  gap_variance_wh2 += other.gap_variance_wh2;
  return *this;
}

Flow flow(std::span<const Sample> samples, double from_s, double to_s,
          std::span<const Gap> gaps) noexcept {
  Flow total;
  if (samples.empty()) return total;
  const Sample& first = samples.front();
  const double since = setpoint_since_s(first);
  total += clipped(at(first, since), at(first, first.time_s), from_s, to_s);
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const Sample& left = samples[i - 1];
    const Sample& right = samples[i];
    if (const Gap* gap = gap_between(gaps, left, right)) {
      total += across(*gap, left, right, from_s, to_s);
    } else if (const auto edge_s = setpoint_edge(left, right)) {
      total += clipped(at(left, left.time_s), at(left, *edge_s), from_s, to_s);
      total += clipped(at(right, *edge_s), at(right, right.time_s), from_s, to_s);
    } else {
      total += clipped(at(left, left.time_s), at(right, right.time_s), from_s, to_s);
    }
  }
  return total;
}

}  // namespace sagbench::analysis
