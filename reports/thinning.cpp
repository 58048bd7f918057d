#include "reports/thinning.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace sagbench::reports {
namespace {

// Points [first, last] of one column: keeps four of them at most.
void keep_extremes(std::span<const Point> column, std::vector<Point>& kept) {
  const auto lower = [](const Point& a, const Point& b) { return a.y < b.y; };
  const auto [lowest, highest] = std::minmax_element(column.begin(), column.end(), lower);
  std::array<std::size_t, 4> picks = {0, static_cast<std::size_t>(lowest - column.begin()),
                                      static_cast<std::size_t>(highest - column.begin()),
                                      column.size() - 1};
  std::sort(picks.begin(), picks.end());
  const auto end = std::unique(picks.begin(), picks.end());
  for (auto pick = picks.begin(); pick != end; ++pick) kept.push_back(column[*pick]);
}

}  // namespace

std::vector<Point> thin(std::span<const Point> points, double x_low, double x_high, int columns) {
  const auto column_of = [&](const Point& p) {
    return std::floor((p.x - x_low) / (x_high - x_low) * columns);
  };
  std::vector<Point> kept;
  std::size_t begin = 0;
  while (begin < points.size()) {
    if (!std::isfinite(points[begin].y)) {
      kept.push_back(points[begin++]);
      continue;
    }
    std::size_t end = begin + 1;
    while (end < points.size() && std::isfinite(points[end].y) &&
           column_of(points[end]) == column_of(points[begin])) {
      ++end;
    }
    keep_extremes(points.subspan(begin, end - begin), kept);
    begin = end;
  }
  return kept;
}

}  // namespace sagbench::reports
