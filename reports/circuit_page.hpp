#pragma once
// The page on a pack's circuit over its charge, and on the peaks it sustains by it.

#include "reports/pdf_document.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// One page: open-circuit voltage and resistances against the charge removed, what the circuit
/// leaves of the record, and the largest currents with their uncertainty. Precondition: figures
/// have a charge_circuit.
void draw_circuit_page(PdfDocument& document, const ReportInput& input);

}  // namespace sagbench::reports
