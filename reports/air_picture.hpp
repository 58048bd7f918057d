#pragma once
// The picture an operator knows from the voltmeter: supply voltage at the radio while keying.

#include "reports/canvas.hpp"
#include "reports/report_series.hpp"

namespace sagbench::reports {

/// Least height of the picture, in points; with less room a line says so.
inline constexpr double kAirMinuteLeast = 115.0;

void draw_air_minute(Canvas& canvas, const Rect& room, const AirMinute& minute,
                     const analysis::Figures& figures);

}  // namespace sagbench::reports
