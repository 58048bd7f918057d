#pragma once
// Page two: the measurements the verdicts rest on, as pictures.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Adds the page. A picture that cannot be had is a line that says why.
void draw_evidence_page(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
