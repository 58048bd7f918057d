#pragma once
// Where the uncertainty of charge and energy comes from, term by term.

#include "analysis/figures.hpp"
#include "reports/pdf_document.hpp"

namespace sagbench::reports {

/// Adds the page. Precondition: a budget has terms.
void draw_budget_page(PdfDocument& document, const analysis::Capacity& capacity);

}  // namespace sagbench::reports
