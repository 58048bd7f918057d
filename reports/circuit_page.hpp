#pragma once
// The page on a pack's circuit over its charge, and on the peaks it sustains by it.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// One page: open-circuit voltage, resistances and largest currents against the charge removed, and
/// those currents with their uncertainty as a table. Precondition: figures have a charge_circuit.
void draw_circuit_page(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
