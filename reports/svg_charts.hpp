#pragma once
// The pictures of a report as SVG files.

#include <string>
#include <vector>

#include "reports/named_chart.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Writes each picture of charts_of() to `folder`/NAME.svg, the folder made if it is missing: all
/// of them, or none where one cannot be written. Same input, same bytes. ReportError where nothing
/// can be drawn, or naming what cannot be written.
void write_svg_charts(const ReportInput& input, const std::string& folder);
/// The same of any charts. `origin` stands below each: a chart leaves its report, and must still
/// say what it is of. `why_none`: for the message where there is none.
void write_svg_charts(const std::vector<NamedChart>& charts, const std::string& origin,
                      const std::string& folder, const std::string& why_none);

}  // namespace sagbench::reports
