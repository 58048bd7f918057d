#pragma once
// A straight trend through measured values, and when it meets a level.

#include <optional>
#include <span>

#include "analysis/finding.hpp"

namespace sagbench::analysis {

struct TrendPoint {
  double x = 0.0;
  Measured y;
};

/// Where a trend meets a level, with all x that its uncertainty leaves possible.
struct Crossing {
  double x = 0.0;
  double earliest = 0.0, latest = 0.0;
};

struct Trend {
  std::size_t points = 0;
  double first_x = 0.0, last_x = 0.0;  // of the points
  Measured slope;                      // y a unit of x
  bool by_scatter =
      false;  // the points scatter by more than their own uncertainties let expect, or have none

  /// Of the line, not of a single measurement.
  Measured at(double x) const;
  /// The slope differs from none by more than its expanded uncertainty.
  bool significant() const noexcept;
  /// Of a significant trend; the interval is E. C. Fieller's (Journal of the Royal Statistical
  /// Society B 16 (1954) 175): where the line within its expanded uncertainty holds the level.
  /// Precondition: significant().
  Crossing meets(double level) const;

  // Slope and value at the weighted mean of x are independent of each other.
  double mean_x = 0.0, mean_y = 0.0;
  double mean_u = 0.0;  // expanded
};

/// Weighted least squares: each point counts by its standard uncertainty, all alike where one has
/// none. The line's uncertainty is theirs, propagated and taken as independent (which errs on the
/// side of too much in the slope where one bench's errors are in all of them), times the Birge
/// ratio where that is above one (R. T. Birge, Physical Review 40 (1932) 207). Where the points
/// scatter beyond what their uncertainties let expect in 95 % of cases (chi-squared), or have none,
/// the scatter counts, with Student's factor for so few (JCGM 100:2008, G.3 and H.3). Missing with
/// fewer than three points, with all at one x, and where a number is not finite.
Finding<Trend> trend(std::span<const TrendPoint> points);

}  // namespace sagbench::analysis
