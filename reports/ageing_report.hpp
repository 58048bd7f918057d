#pragma once
// One pack over its tests, as a PDF and as JSON.

#include <string>

#include "reports/ageing_history.hpp"
#include "reports/pdf_document.hpp"

namespace sagbench::reports {

/// As many pages as it takes. `software` stands at their foot.
void draw_ageing(PdfDocument& document, const AgeingHistory& history, const std::string& software);
/// Throws ReportError naming the path.
void write_ageing(const AgeingHistory& history, const std::string& software,
                  const std::string& path, const ReportOptions& options = {});
/// Its pictures as SVG files, as write_svg_charts() does.
void write_ageing_svg(const AgeingHistory& history, const std::string& folder);
std::string ageing_json(const AgeingHistory& history);

}  // namespace sagbench::reports
