#pragma once
// Page two: the measurements the verdicts rest on, as pictures.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Voltage and current over the run, and voltage against charge removed, one below the other. A
/// picture that cannot be had is a line that says why. Returns where they end; at most 470 points
/// are used.
double draw_run_evidence(Canvas& canvas, const Rect& room, const ReportInput& input);
/// Adds the page, with the facts that the verdicts rest on; `with_peaks`: the held peaks too.
void draw_evidence_page(PdfDocument& document, const ReportInput& input, bool with_peaks);

}  // namespace sagbench::reports
