#include "analysis/sag_points.hpp"

#include <algorithm>

namespace sagbench::analysis {
namespace {

/// Precondition: `right` is a sample at or after `time_s`, and not the first.
double interpolated_v(std::span<const Sample>::iterator right, double time_s) {
  const Sample& left = *(right - 1);
  const double interval_s = right->time_s - left.time_s;
  if (!(interval_s > 0.0)) return right->voltage_v;
  const double share = (time_s - left.time_s) / interval_s;
  return left.voltage_v + share * (right->voltage_v - left.voltage_v);
}

}  // namespace

std::vector<SagPoint> sag_points(std::span<const Sample> samples, double edge_s, double rest_v,
                                 std::span<const double> times_s) {
  std::vector<SagPoint> points;
  if (samples.empty()) return points;
  const double first_s = samples.front().time_s - edge_s;
  for (const double after_s : times_s) {
    if (after_s <= first_s) {
      if (points.empty()) points.push_back({after_s, first_s, rest_v - samples.front().voltage_v});
      continue;
    }
    const auto right = std::ranges::lower_bound(samples, edge_s + after_s, {}, &Sample::time_s);
    if (right == samples.end()) break;
    points.push_back({after_s, after_s, rest_v - interpolated_v(right, edge_s + after_s)});
  }
  return points;
}

}  // namespace sagbench::analysis
