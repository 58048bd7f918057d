#include "reports/peak_decay.hpp"

#include <algorithm>

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Sample;

constexpr double kBefore_s = 3.0;
constexpr double kLongestRecovery_s = 40.0;

/// A load steps: what stood before the edge of current stood up to it.
void add_edge(std::vector<Point>& points, double x) {
  if (!points.empty() && points.back().x < x) points.push_back({x, points.back().y});
}

bool is_at_rest(const Sample& sample) {
  return sample.phase == Phase::recovery || sample.phase == Phase::rest;
}

}  // namespace

std::vector<Point> peak_decay(const analysis::Recording& recording, const analysis::Peak& peak) {
  const auto& samples = recording.samples;
  const double to_s = peak.edge_s + peak.held_s + kLongestRecovery_s;
  std::vector<Point> points;
  bool held = false, released = false;
  auto at = std::ranges::lower_bound(samples, peak.edge_s - kBefore_s, {}, &Sample::time_s);
  for (; at != samples.end() && at->time_s <= to_s; ++at) {
    const double x = at->time_s - peak.edge_s;
    const bool under_peak = at->phase == Phase::peak && at->commanded_a == peak.asked_a;
    if (x >= 0.0 && under_peak && !released) {
      if (!held) add_edge(points, 0.0);
      held = true;
    } else if (at->phase == Phase::recovery && x >= 0.0) {
      if (!released) add_edge(points, at->commanded_since_s.value_or(at->time_s) - peak.edge_s);
      released = true;
    } else if (x >= 0.0) {
      break;
    }
    if (held || is_at_rest(*at)) points.push_back({x, at->voltage_v - peak.rest_v});
  }
  return held ? points : std::vector<Point>{};
}

}  // namespace sagbench::reports
