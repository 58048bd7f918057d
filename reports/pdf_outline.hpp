#pragma once
// What leads from place to place in a PDF. Errors go to the document's handler.

#include <hpdf.h>

#include <cstddef>
#include <list>

#include "reports/pdf_canvas.hpp"

namespace sagbench::reports {

struct PagePlace {
  std::size_t page = 0;  // from 0
  double top = 0.0;
};

/// Parts, and under them their sections, in the order of the pages' marks. Once, when all are
/// there.
void add_outline(HPDF_Doc document, const std::list<PdfCanvas>& pages);

/// A click into `area` of the page leads to `to`.
void add_link(HPDF_Doc document, std::size_t page, const Rect& area, const PagePlace& to);

}  // namespace sagbench::reports
