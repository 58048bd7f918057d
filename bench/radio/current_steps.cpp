#include "bench/radio/current_steps.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::bench {

using drivers::ListPoint;

namespace {

constexpr double kLong_s = 1.0;     // a point of this length may be parted between two steps
constexpr double kSameStep = 1e-6;  // of a step: a current that lies on one

/// The two steps of the load about a current; the same one twice where it lies on it.
struct Steps {
  double low_a, high_a;
};

Steps steps_about(double current_a, double step_a, double max_a) {
  const double steps = current_a / step_a;
  const double low_a = std::floor(steps + kSameStep) * step_a;
  const double high_a = std::ceil(steps - kSameStep) * step_a;
  return {low_a, high_a > max_a ? low_a : high_a};
}

/// How long the higher of two steps is to flow for `charge_as` in `dwell_s`.
double high_s(const Steps& steps, double charge_as, double dwell_s) {
  if (steps.high_a <= steps.low_a) return 0.0;
  const double above_as = charge_as - steps.low_a * dwell_s;
  return std::clamp(above_as / (steps.high_a - steps.low_a), 0.0, dwell_s);
}

}  // namespace

std::vector<ListPoint> on_steps(const std::vector<ListPoint>& points, double step_a, double max_a,
                                double shortest_s) {
  std::vector<ListPoint> stepped;
  double owed_as = 0.0;
  for (const ListPoint& point : points) {
    const Steps steps = steps_about(point.current_a, step_a, max_a);
    const double high = high_s(steps, point.current_a * point.dwell_s + owed_as, point.dwell_s);
    const double low = point.dwell_s - high;
    owed_as += point.current_a * point.dwell_s;
    if (point.dwell_s >= kLong_s && std::min(high, low) >= shortest_s) {
      stepped.push_back({steps.high_a, high});
      stepped.push_back({steps.low_a, low});
      owed_as -= steps.high_a * high + steps.low_a * low;
    } else {
      stepped.push_back({high > low ? steps.high_a : steps.low_a, point.dwell_s});
      owed_as -= stepped.back().current_a * point.dwell_s;
    }
  }
  return stepped;
}

}  // namespace sagbench::bench
