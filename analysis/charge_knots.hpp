#pragma once
// A function of the charge removed, by its values at some charges: straight lines between them.

#include <algorithm>
#include <cstddef>
#include <functional>
#include <ranges>
#include <span>
#include <utility>
#include <vector>

namespace sagbench::analysis {

/// Where a charge lies among the knots: `share` of the way from one to the next.
struct KnotPlace {
  std::size_t left = 0;
  std::size_t right = 0;  // left itself beyond the ends
  double share = 0.0;
};

/// Among `knots`, at least one, strictly increasing by `charge`. Beyond the ends the last one's
/// value holds.
template <std::ranges::random_access_range Knots, typename Charge = std::identity>
KnotPlace place_among(const Knots& knots, double removed_ah, Charge charge = {}) {
  const auto upper = std::ranges::upper_bound(knots, removed_ah, {}, charge);
  const auto right = static_cast<std::size_t>(upper - std::ranges::begin(knots));
  if (right == 0) return {};
  const std::size_t left = right - 1;
  if (right == std::ranges::size(knots)) return {left, left, 0.0};
  const double left_ah = std::invoke(charge, knots[left]);
  return {left, right, (removed_ah - left_ah) / (std::invoke(charge, knots[right]) - left_ah)};
}

class ChargeKnots {
 public:
  /// `removed_ah`: at least one, strictly increasing.
  explicit ChargeKnots(std::vector<double> removed_ah) : removed_ah_(std::move(removed_ah)) {}

  KnotPlace place(double removed_ah) const { return place_among(removed_ah_, removed_ah); }
  std::size_t size() const noexcept { return removed_ah_.size(); }
  std::span<const double> removed_ah() const noexcept { return removed_ah_; }

 private:
  std::vector<double> removed_ah_;
};

}  // namespace sagbench::analysis
