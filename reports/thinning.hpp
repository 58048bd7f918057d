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

}  // namespace sagbench::reports
