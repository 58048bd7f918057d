#include "analysis/sag_points.hpp"

#include "analysis/sample_series.hpp"

namespace sagbench::analysis {

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
    if (edge_s + after_s > samples.back().time_s) break;
    points.push_back({after_s, after_s, rest_v - voltage_at(samples, edge_s + after_s)});
  }
  return points;
}

}  // namespace sagbench::analysis
