#pragma once
// Page one: what an operator needs to know.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Returns how many of the run's cautions did not fit: another page must print them all.
std::size_t draw_operator_page(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
