#pragma once
// A function of the charge removed, by its values at some charges: straight lines between them.

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

namespace sagbench::analysis {

/// Where a charge lies among the knots: `share` of the way from one to the next.
struct KnotPlace {
  std::size_t left = 0;
  std::size_t right = 0;  // left itself where there is one knot only
  double share = 0.0;
};

/// Among `knots`, at least one, strictly increasing. Beyond the ends the last one's value holds.
KnotPlace place_among(std::span<const double> knots, double removed_ah) noexcept;

class ChargeKnots {
 public:
  /// `removed_ah`: at least one, strictly increasing.
  explicit ChargeKnots(std::vector<double> removed_ah) : removed_ah_(std::move(removed_ah)) {}

  KnotPlace place(double removed_ah) const noexcept { return place_among(removed_ah_, removed_ah); }
  std::size_t size() const noexcept { return removed_ah_.size(); }
  std::span<const double> removed_ah() const noexcept { return removed_ah_; }

 private:
  std::vector<double> removed_ah_;
};

}  // namespace sagbench::analysis
