#pragma once
// The reports as pages in memory, before they are a file: what tests look at.

#include <vector>

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

void draw_test_report(PdfDocument& document, const ReportInput& input);
/// Precondition: at least one run.
void draw_comparison(PdfDocument& document, const std::vector<ReportInput>& inputs);

}  // namespace sagbench::reports
