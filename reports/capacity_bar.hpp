#pragma once
// Measured capacity beside what the label promises, with its uncertainty.

#include "analysis/figures.hpp"
#include "reports/canvas.hpp"

namespace sagbench::reports {

/// Draws figure, bar and conditions; returns where they end. Without a capacity, the reason stands
/// in its place.
double draw_capacity(Canvas& canvas, Point top_left, double width, const analysis::Figures& figures,
                     const analysis::Pack& pack);

}  // namespace sagbench::reports
