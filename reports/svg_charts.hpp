#pragma once
// The pictures of a report as SVG files.

#include <string>

#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Writes each picture of charts_of() to `folder`/NAME.svg, the folder made if it is missing: all
/// of them, or none where one cannot be written. Same input, same bytes. ReportError where nothing
/// can be drawn, or naming what cannot be written.
void write_svg_charts(const ReportInput& input, const std::string& folder);

}  // namespace sagbench::reports
