#pragma once
// Which cell lags behind at the end of a discharge.

#include <optional>

#include "analysis/discharge.hpp"

namespace sagbench::analysis {

struct CellSpread {
  double spread_v = 0.0;  // highest minus lowest tapped cell
  int weakest = 0;        // 1-based from the negative end
};

/// At the last reading of the taps within the discharge. Absent with fewer than two taps.
std::optional<CellSpread> cell_spread(const Discharge& discharge);

}  // namespace sagbench::analysis
