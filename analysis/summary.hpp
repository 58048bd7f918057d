#pragma once
// Mean, standard deviation and the like of plain numbers. For noise on a slow course see
// scatter.hpp.

#include <cstddef>
#include <span>

#include "analysis/finding.hpp"

namespace sagbench::analysis {

struct Summary {
  std::size_t count = 0;
  double mean = 0.0;
  double standard_deviation = 0.0;  // of one value, with count - 1 in the denominator
  /// Sum of products of neighbours' distances from the mean over the sum of squares: -1 ... 1, near
  /// 0 for white noise. Missing where all values are the same.
  Finding<double> lag_1_autocorrelation;

  /// Standard uncertainty of the mean of independent values (JCGM 100:2008, 4.2.3).
  double mean_u() const noexcept;
};

/// Missing for less than two values, or where one is no finite number.
Finding<Summary> summary_of(std::span<const double> values);

/// Correlation coefficient of values taken in pairs, which is that of their means as well
/// (JCGM 100:2008, 5.2.3 and C.3.6). Missing for less than two pairs, where one value is no finite
/// number, or where one side does not vary. Precondition: as many on either side.
Finding<double> correlation_of(std::span<const double> left, std::span<const double> right);

}  // namespace sagbench::analysis
