#pragma once
// Fewer points, same picture.

#include <span>
#include <vector>

#include "reports/geometry.hpp"

namespace sagbench::reports {

/// Cuts `x_low`..`x_high` into `columns` and keeps of each column its first, lowest, highest and
/// last point, in their order: a spike of one sample stays at its full height. Points with a
/// non-finite y are kept; they break the curve.
std::vector<Point> thin(std::span<const Point> points, double x_low, double x_high, int columns);

/// Leaves out points that lie within `tolerance` of the straight line that then takes their place,
/// so a smooth curve needs few. `points`: finite, in units that are the same in both directions.
std::vector<Point> straightened(std::span<const Point> points, double tolerance);

}  // namespace sagbench::reports
