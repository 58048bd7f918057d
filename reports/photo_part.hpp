#pragma once
// What was added to a run afterwards, on a page of its own: its newest photo, and remarks.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// No page where there is neither. A photo that cannot be drawn is told in a line, with the reason.
void draw_photo_part(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
