#pragma once
// The test report as pages in memory, before they are a file: what tests look at.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// `attachments`: the run's files go into the document.
void draw_test_report(PdfDocument& document, const ReportInput& input, bool attachments = true);

}  // namespace sagbench::reports
