#pragma once
// Page one: what an operator needs to know.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// What page one had room for: the other pages print the rest.
struct OperatorPage {
  bool cautions_complete = true;
  bool run_drawn = false;  // the curves of the run itself
  bool peaks_drawn = false;
};

OperatorPage draw_operator_page(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
