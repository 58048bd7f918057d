#pragma once
// The answer to "is this pack good for my radio", as a box: shape and word first, then margin,
// reason, what would change it, what it risks and the conditions it holds under.

#include "reports/canvas.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Draws one box a rating, side by side from `top_left`; returns where they end. Without ratings a
/// line says so.
double draw_verdicts(Canvas& canvas, Point top_left, double width, const ReportInput& input);

/// The conditions a rating holds under, as one sentence: supply limit, radio, cable, temperature,
/// age.
std::string conditions_of(const analysis::Rating& rating, const ReportInput& input);

}  // namespace sagbench::reports
