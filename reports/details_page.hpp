#pragma once
// The last page or pages: every figure with its method, and all that is needed to repeat or doubt
// the run.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Adds the page, and more where the record is long. `all_cautions`: print the run's cautions here
/// too, because page one had no room for them.
void draw_details_page(PdfDocument& document, const ReportInput& input, bool all_cautions);

}  // namespace sagbench::reports
