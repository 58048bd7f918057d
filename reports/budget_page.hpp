#pragma once
// Where the uncertainty of charge and energy comes from, term by term, and the resistances by each
// method.

#include "analysis/figures.hpp"
#include "reports/pdf_document.hpp"

namespace sagbench::reports {

/// Adds the page; none where there is neither a budget nor a resistance beside the two-current one.
void draw_budget_page(PdfDocument& document, const analysis::Figures& figures);

}  // namespace sagbench::reports
