#pragma once
// The page that hangs beside the bench: how to connect, in which order, and what to mind.

#include <string>
#include <vector>

#include "reports/pdf_document.hpp"
#include "reports/report_options.hpp"
#include "reports/wiring_drawing.hpp"

namespace sagbench::reports {

struct WiringSheet {
  std::string title;     // "How to connect Hilltop"
  std::string subtitle;  // the pack and the bench; empty: of any
  Wiring wiring;
  std::vector<std::string> figures;   // of the leads, a line each
  std::vector<std::string> cautions;  // of the chemistry
};

/// One page. Same input, same bytes. ReportError names `path` where it cannot be written.
void write_wiring_page(const WiringSheet& sheet, const std::string& software,
                       const std::string& path, const ReportOptions& options);
void draw_wiring_page(PdfDocument& document, const WiringSheet& sheet, const std::string& software);

/// The picture alone, as an SVG file's text.
std::string wiring_svg(const WiringSheet& sheet);
/// As `folder`/wiring.svg, the folder made if it is missing.
void write_wiring_svg(const WiringSheet& sheet, const std::string& folder);

}  // namespace sagbench::reports
