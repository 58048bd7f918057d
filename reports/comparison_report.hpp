#pragma once
// Several runs beside each other, as a PDF and as JSON.

#include <optional>
#include <string>
#include <vector>

#include "analysis/operation.hpp"
#include "reports/comparison_sort.hpp"
#include "reports/pdf_document.hpp"

namespace sagbench::reports {

struct ComparisonRequest {
  std::vector<RunDigest> runs;
  std::optional<SortBy> by;                       // absent: see compared()
  std::vector<analysis::Operation> operations{};  // capacity at their mean currents
  std::string software{};                         // at the foot of the pages
};

/// As many pages as it takes. Precondition: at least one run.
void draw_comparison(PdfDocument& document, const ComparisonRequest& request);
/// Throws ReportError naming the path, also where there is no run.
void write_comparison(const ComparisonRequest& request, const std::string& path,
                      const ReportOptions& options = {});
/// Its picture as an SVG file, as write_svg_charts() does. Precondition: at least one run.
void write_comparison_svg(const ComparisonRequest& request, const std::string& folder);
/// One object a run, in the order of the report.
std::string comparison_json(const ComparisonRequest& request);

}  // namespace sagbench::reports
