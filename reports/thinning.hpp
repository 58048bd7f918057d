#pragma once
// Fewer points, same picture.

#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include "reports/geometry.hpp"

namespace sagbench::reports {

/// Cuts `x_low`..`x_high` into `columns` and keeps of each column its first, lowest, highest and
/// last point, in their order: a spike of one sample stays at its full height. Points with a
/// non-finite y are kept; they break the curve.
std::vector<Point> thin(std::span<const Point> points, double x_low, double x_high, int columns);

/// The same while a long row is made, so that it never stands in memory: of each of 5000 equal
/// parts of `expected` points the first, lowest, highest and last. Below 10,000 points nothing is
/// lost.
class PointThinner {
 public:
  explicit PointThinner(std::size_t expected) : every_(expected / kParts + 1) {}

  void add(Point point) {
    if (!std::isfinite(point.y)) {
      keep();
      kept_.push_back(point);
      return;
    }
    last_ = {point, count_};
    if (count_ == 0) first_ = lowest_ = highest_ = last_;
    if (point.y < lowest_.point.y) lowest_ = last_;
    if (point.y >= highest_.point.y) highest_ = last_;
    if (++count_ == every_) keep();
  }
  /// What was kept. Once, when all have been added.
  std::vector<Point> take();

 private:
  static constexpr std::size_t kParts = 5000;  // far more than columns that a picture has
  struct Placed {
    Point point;
    std::size_t place = 0;  // within the part
  };
  void keep();

  std::size_t every_;
  std::size_t count_ = 0;  // of the part that goes on
  Placed first_, lowest_, highest_, last_;
  std::vector<Point> kept_;
};

/// Leaves out points that lie within `tolerance` of the straight line that then takes their place,
/// so a smooth curve needs few. `points`: finite, in units that are the same in both directions.
std::vector<Point> straightened(std::span<const Point> points, double tolerance);

}  // namespace sagbench::reports
