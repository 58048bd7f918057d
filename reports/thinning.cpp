#include "reports/thinning.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace sagbench::reports {
namespace {

/// Of the points [begin, end): first, lowest, highest and last, in their order.
void keep_extremes(std::span<const Point> points, std::size_t begin, std::size_t lowest,
                   std::size_t highest, std::size_t end, std::vector<Point>& kept) {
  const std::array<std::size_t, 4> picks = {begin, std::min(lowest, highest),
                                            std::max(lowest, highest), end - 1};
  for (std::size_t n = 0; n < picks.size(); ++n)
    if (n == 0 || picks[n] != picks[n - 1]) kept.push_back(points[picks[n]]);
}

double squared(double x, double y) {
  return x * x + y * y;
}

/// Squared, from `point` to what is drawn between two others.
double squared_distance(const Point& point, const Point& from, const Point& to) {
  const double along_x = to.x - from.x, along_y = to.y - from.y;
  const double length = squared(along_x, along_y);
  const double x = point.x - from.x, y = point.y - from.y;
  const double share =
      length > 0.0 ? std::clamp((x * along_x + y * along_y) / length, 0.0, 1.0) : 0.0;
  return squared(x - share * along_x, y - share * along_y);
}

}  // namespace

std::vector<Point> thin(std::span<const Point> points, double x_low, double x_high, int columns) {
  const double width = (x_high - x_low) / columns;
  std::vector<Point> kept;
  std::size_t begin = 0;
  while (begin < points.size()) {
    if (!std::isfinite(points[begin].y)) {
      kept.push_back(points[begin++]);
      continue;
    }
    const double left = x_low + std::floor((points[begin].x - x_low) / width) * width;
    std::size_t lowest = begin, highest = begin, end = begin + 1;
    for (; end < points.size(); ++end) {
      const Point& point = points[end];
      if (!std::isfinite(point.y) || point.x < left || point.x >= left + width) break;
      if (point.y < points[lowest].y) lowest = end;
      if (point.y > points[highest].y) highest = end;
    }
    keep_extremes(points, begin, lowest, highest, end, kept);
    begin = end;
  }
  return kept;
}

void PointThinner::keep() {
  if (count_ == 0) return;
  const bool falls = highest_.place < lowest_.place;
  const std::array<Placed, 4> picks = {first_, falls ? highest_ : lowest_,
                                       falls ? lowest_ : highest_, last_};
  for (std::size_t n = 0; n < picks.size(); ++n)
    if (n == 0 || picks[n].place != picks[n - 1].place) kept_.push_back(picks[n].point);
  count_ = 0;
}

std::vector<Point> PointThinner::take() {
  keep();
  return std::move(kept_);
}

std::vector<Point> straightened(std::span<const Point> points, double tolerance) {
  if (points.size() < 3) return {points.begin(), points.end()};
  constexpr std::size_t kMostLeftOut =
      60;  // in a row: each is looked at again for each that follows
  std::vector<Point> kept = {points.front()};
  std::size_t anchor = 0;
  for (std::size_t end = 2; end < points.size(); ++end) {
    const auto between = points.subspan(anchor + 1, end - anchor - 1);
    const bool straight = std::ranges::all_of(between, [&](const Point& point) {
      return squared_distance(point, points[anchor], points[end]) <= tolerance * tolerance;
    });
    if (straight && between.size() < kMostLeftOut) continue;
    anchor = end - 1;
    kept.push_back(points[anchor]);
  }
  kept.push_back(points.back());
  return kept;
}

}  // namespace sagbench::reports
