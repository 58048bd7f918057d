#pragma once
// Held peaks: how far the voltage sagged, at which current and state of charge.

#include "reports/canvas.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Picture on the left, table on the right; a line when the run has no peaks.
void draw_peaks(Canvas& canvas, const Rect& room, const ReportInput& input);

}  // namespace sagbench::reports
