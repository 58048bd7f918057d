#include "bench/radio/two_levels.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::bench {

using drivers::ListPoint;

namespace {

constexpr double kRounding = 1e-9;  // of a share of time or of a current's square

}  // namespace

void Stretch::take(const ListPoint& point) {
  const bool first = seconds_ == 0.0;
  least_a_ = first ? point.current_a : std::min(least_a_, point.current_a);
  highest_a_ = std::max(highest_a_, point.current_a);
  moment_as2_ += point.current_a * point.dwell_s * (seconds_ + point.dwell_s / 2.0);
  seconds_ += point.dwell_s;
  charge_as_ += point.current_a * point.dwell_s;
  square_a2s_ += point.current_a * point.current_a * point.dwell_s;
}

/// Of all pairs with this mean and variance, a share h of the higher one makes the currents
/// mean + sqrt(variance (1 - h) / h) and mean - sqrt(variance h / (1 - h)). They lie within
/// [least, highest] for a share from variance / (variance + (highest - mean)^2), where the higher
/// one is the highest, to (mean - least)^2 / (variance + (mean - least)^2), where the lower one is
/// the least.
std::optional<std::vector<ListPoint>> Stretch::equivalent(double shortest_s, Peak peak) const {
  const double mean_a = charge_as_ / seconds_;
  const double variance_a2 = square_a2s_ / seconds_ - mean_a * mean_a;
  const double shortest_share = shortest_s / seconds_;
  if (variance_a2 <= kRounding * mean_a * mean_a) {
    if (shortest_share > 1.0 + kRounding) return std::nullopt;
    return std::vector<ListPoint>{{mean_a, seconds_}};
  }
  const double up_a = highest_a_ - mean_a, down_a = mean_a - least_a_;
  const double at_highest = variance_a2 / (variance_a2 + up_a * up_a);
  const double at_least = down_a * down_a / (variance_a2 + down_a * down_a);
  const double share = std::max(at_highest, shortest_share);
  if (share > std::min(at_least, 1.0 - shortest_share) + kRounding) return std::nullopt;
  if (peak == Peak::must_stay && share > at_highest + kRounding) return std::nullopt;
  return two(share, mean_a, variance_a2);
}

std::vector<ListPoint> Stretch::two(double high_share, double mean_a, double variance_a2) const {
  const double odds = (1.0 - high_share) / high_share;
  const ListPoint high{std::min(highest_a_, mean_a + std::sqrt(variance_a2 * odds)),
                       high_share * seconds_};
  const ListPoint low{std::max(least_a_, mean_a - std::sqrt(variance_a2 / odds)),
                      seconds_ - high.dwell_s};
  if (early(mean_a)) return {high, low};
  return {low, high};
}

/// The charge's middle lies in the first half.
bool Stretch::early(double mean_a) const {
  return moment_as2_ <= mean_a * seconds_ * seconds_ / 2.0;
}

}  // namespace sagbench::bench
