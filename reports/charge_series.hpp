#pragma once
// Curves against the charge that was removed.

#include <span>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/recording.hpp"
#include "reports/geometry.hpp"

namespace sagbench::reports {

/// Energy (Wh) against charge (Ah) of a discharge_curve(): what flowed in a gap counts at the
/// voltage before it, and breaks the curve.
std::vector<Point> energy_curve(std::span<const Point> discharge);

/// One a tapped cell, from the negative end up, over the discharge that the capacity was measured
/// in.
struct CellCurves {
  std::vector<std::vector<Point>> voltage_v;
  std::vector<std::vector<Point>> off_mean_v;  // from the mean of all cells of the same sample
};
/// Empty without a capacity, and with fewer than two taps.
CellCurves cell_curves(const analysis::Recording& recording, const analysis::Figures& figures);

}  // namespace sagbench::reports
