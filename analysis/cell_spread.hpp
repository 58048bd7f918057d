#pragma once
// How far the weakest tapped cell lags behind the others in a discharge.

#include <optional>

#include "analysis/discharge.hpp"

namespace sagbench::analysis {

/// Where in the discharge the cells are compared, as shares of its charge. Late is before the knee:
/// at the very end sound cells part too, because each falls off within its last per cent. Early,
/// cells that merely hold less still stand with the others, and a resistance already shows (our
/// choice of shares).
inline constexpr double kEarly = 0.1;
inline constexpr double kLate = 0.9;

struct CellSpread {
  double late_v = 0.0;            // highest minus lowest tapped cell, late
  int weakest = 0;                // the lowest then; 1-based from the negative end
  std::optional<double> early_v;  // highest minus that cell, early
};

/// At the readings of the taps nearest to those points. Absent with fewer than two taps, or where
/// none was read within 5 % of the discharge around a point.
std::optional<CellSpread> cell_spread(const Discharge& discharge);

}  // namespace sagbench::analysis
