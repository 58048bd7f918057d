#pragma once
// The test report as pages in memory, before they are a file: what tests look at.

#include <future>
#include <vector>

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// An invalid future: no files go into the document.
void draw_test_report(PdfDocument& document, const ReportInput& input,
                      std::future<std::vector<Attachment>> attachments);
/// With the run's files.
void draw_test_report(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
