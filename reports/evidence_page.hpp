#pragma once
// The measurements that the verdicts rest on, as pictures.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// The run over time, and its discharge over charge below it. A picture that cannot be had is a
/// line that says why. Returns where they end; at most 560 points are used.
double draw_run_evidence(Canvas& canvas, const Rect& room, const ReportInput& input);
/// Adds a page of them, with the facts that the verdicts rest on.
void draw_evidence_page(PdfDocument& document, const ReportInput& input);
/// Adds a page on held peaks (`with_peaks`: their sag too), open-circuit voltage and cells, where
/// the run measured any of them.
void draw_pack_evidence(PdfDocument& document, const ReportInput& input, bool with_peaks);

}  // namespace sagbench::reports
