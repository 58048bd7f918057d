#include "bench/radio/reduction.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bench/radio/current_steps.hpp"
#include "bench/radio/grouping.hpp"

namespace sagbench::bench {
namespace {

using analysis::CurrentFigures;
using drivers::ListPoint;
using Points = std::vector<ListPoint>;

constexpr double kSlower = 1.25;    // from one try to the next
constexpr double kSameTime = 1e-9;  // of a dwell

double off_by(double got, double asked) {
  return asked > 0.0 ? std::abs(got / asked - 1.0) : std::abs(got);
}

/// The greatest of the three errors, each as a share of its bound.
double strain(const CurrentFigures& got, const CurrentFigures& asked) {
  return std::max({off_by(got.mean_a, asked.mean_a) / kMeanWithin,
                   off_by(got.rms_a, asked.rms_a) / kRmsWithin,
                   off_by(got.peak_a, asked.peak_a) / kPeakWithin});
}

std::string too_far(const CurrentFigures& asked, const std::optional<CurrentFigures>& best) {
  const std::string bounds =
      fmt::format("within {:g} % of mean, {:g} % of r.m.s. and {:g} % of peak", 100 * kMeanWithin,
                  100 * kRmsWithin, 100 * kPeakWithin);
  if (!best)
    return fmt::format("the load is too slow to play {:.4g} s of this pattern {}", asked.duration_s,
                       bounds);
  return fmt::format(
      "the load cannot play this pattern {}: at best mean {:.3g} A for {:.3g} A, "
      "r.m.s. {:.3g} A for {:.3g} A, peak {:.3g} A for {:.3g} A",
      bounds, best->mean_a, asked.mean_a, best->rms_a, asked.rms_a, best->peak_a, asked.peak_a);
}

bool as_it_is(const Points& points, double shortest_s) {
  return std::ranges::all_of(points, [&](const ListPoint& point) {
    return point.dwell_s >= shortest_s * (1.0 - kSameTime);
  });
}

}  // namespace

CurrentFigures as_played(const Points& points, double slew_a_per_s) {
  CurrentFigures figures;
  double square_a2s = 0.0;
  double current_a = points.empty() ? 0.0 : points.back().current_a;
  const auto straight = [&](double to_a, double seconds) {
    figures.duration_s += seconds;
    figures.mean_a += (current_a + to_a) / 2.0 * seconds;
    square_a2s += (current_a * current_a + current_a * to_a + to_a * to_a) / 3.0 * seconds;
    figures.peak_a = std::max(figures.peak_a, to_a);
    current_a = to_a;
  };
  for (const ListPoint& point : points) {
    const double change_a = point.current_a - current_a;
    const double ramp_s = std::abs(change_a) / slew_a_per_s;
    if (ramp_s > point.dwell_s) {
      straight(current_a + change_a * point.dwell_s / ramp_s, point.dwell_s);
      continue;
    }
    straight(point.current_a, ramp_s);
    straight(point.current_a, point.dwell_s - ramp_s);
  }
  if (figures.duration_s <= 0.0) return figures;
  figures.mean_a /= figures.duration_s;
  figures.rms_a = std::sqrt(square_a2s / figures.duration_s);
  return figures;
}

Reduction reduce(const Points& asked, const Agility& load) {
  Reduction result;
  result.asked = as_played(asked, std::numeric_limits<double>::infinity());
  if (result.asked.peak_a > load.max_a) {
    result.refused =
        fmt::format("the pattern asks for {:.4g} A and the load draws at most {:.4g} A",
                    result.asked.peak_a, load.max_a);
    return result;
  }
  std::optional<CurrentFigures> best;
  const double slowest_s = result.asked.duration_s * (1.0 + kSameTime);
  for (double shortest_s = std::max(load.shortest_s, 1e-4); shortest_s <= slowest_s;
       shortest_s *= kSlower) {
    result.reduced = !as_it_is(asked, shortest_s);
    auto points =
        result.reduced ? grouped(asked, shortest_s, 1.0 - kPeakWithin) : std::optional(asked);
    if (!points) continue;
    if (load.step_a > 0.0) *points = on_steps(*points, load.step_a, load.max_a, load.shortest_s);
    const CurrentFigures expected = as_played(*points, load.slew_a_per_s);
    if (!best || strain(expected, result.asked) < strain(*best, result.asked)) best = expected;
    if (strain(expected, result.asked) > 1.0) continue;
    result.points = std::move(*points);
    result.expected = expected;
    return result;
  }
  result.refused = too_far(result.asked, best);
  return result;
}

}  // namespace sagbench::bench
