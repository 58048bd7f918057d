#include "analysis/rate_point.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {

bool ended_alike(const RatePoint& one, const RatePoint& other) noexcept {
  constexpr double kLike = 0.005;
  return std::abs(other.to_voltage_v - one.to_voltage_v) <=
         kLike * std::max(one.to_voltage_v, other.to_voltage_v);
}

}  // namespace sagbench::analysis
