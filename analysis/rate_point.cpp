#include "analysis/rate_point.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {

namespace {

bool alike(double one_v, double other_v) noexcept {
  constexpr double kLike = 0.005;
  return std::abs(other_v - one_v) <= kLike * std::max(one_v, other_v);
}

}  // namespace

bool ended_alike(const RatePoint& one, const RatePoint& other) noexcept {
  if (one.cell_end_v && other.cell_end_v) return alike(*one.cell_end_v, *other.cell_end_v);
  return alike(one.to_voltage_v, other.to_voltage_v);
}

}  // namespace sagbench::analysis
