#pragma once
// The last page or pages: every figure with its method, and all that is needed to repeat or doubt
// the run.

#include <vector>

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Adds the page, and more where the record is long. `all_cautions`: print the run's cautions here
/// too, because page one had no room for them. `files`: what is attached to the document.
void draw_details_page(PdfDocument& document, const ReportInput& input, bool all_cautions,
                       const std::vector<Attachment>& files);

}  // namespace sagbench::reports
