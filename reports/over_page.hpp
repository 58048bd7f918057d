#pragma once
// The page that shows the pattern asked for, the current delivered and the pack's answer, one over
// and one moment of it, with the figures of every transmit step below.

#include <vector>

#include "analysis/figures.hpp"
#include "reports/over_series.hpp"
#include "reports/pdf_document.hpp"

namespace sagbench::reports {

void draw_over_page(PdfDocument& document, const OverPictures& pictures,
                    const std::vector<analysis::OnAir>& on_air);

}  // namespace sagbench::reports
