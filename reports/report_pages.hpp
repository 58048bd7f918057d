#pragma once
// The reports as pages in memory, before they are a file: what tests look at.

#include <vector>

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// `attachments`: the run's files go into the document.
void draw_test_report(PdfDocument& document, const ReportInput& input, bool attachments = true);
/// Precondition: at least one run.
void draw_comparison(PdfDocument& document, const std::vector<ReportInput>& inputs);

}  // namespace sagbench::reports
