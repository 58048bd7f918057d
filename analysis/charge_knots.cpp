#include "analysis/charge_knots.hpp"

#include <algorithm>

namespace sagbench::analysis {

KnotPlace place_among(std::span<const double> knots, double removed_ah) noexcept {
  const auto right = std::ranges::upper_bound(knots, removed_ah);
  if (right == knots.begin()) return {0, std::min<std::size_t>(1, knots.size() - 1), 0.0};
  const auto left = static_cast<std::size_t>(right - knots.begin()) - 1;
  if (right == knots.end()) return {left, left, 0.0};
  return {left, left + 1, (removed_ah - knots[left]) / (*right - knots[left])};
}

}  // namespace sagbench::analysis
