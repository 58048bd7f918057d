#include "reports/pdf_outline.hpp"

#include <algorithm>
#include <cmath>

#include "reports/printable_text.hpp"
#include "reports/unicode_text.hpp"

namespace sagbench::reports {
namespace {

HPDF_REAL from_below(HPDF_Page page, double y) {
  return std::round(HPDF_Page_GetHeight(page) - static_cast<HPDF_REAL>(y));
}

/// A little above the place, at whatever size the reader looks at the page: a zoom of 0 leaves it
/// as it is (ISO 32000-1, 12.3.2.2), which the library knows no call for.
HPDF_Destination destination(HPDF_Doc document, const PagePlace& to) {
  constexpr double kAbove = 6.0;
  constexpr HPDF_UINT kZoom = 4;  // its place in the destination
  const HPDF_Page page = HPDF_GetPageByIndex(document, static_cast<HPDF_UINT>(to.page));
  const HPDF_Destination place = HPDF_Page_CreateDestination(page);
  HPDF_Destination_SetXYZ(place, 0, from_below(page, std::max(0.0, to.top - kAbove)), 1);
  if (void* zoom = HPDF_Array_GetItem(place, kZoom, HPDF_OCLASS_REAL); zoom != nullptr)
    static_cast<HPDF_Real>(zoom)->value = 0;
  return place;
}

}  // namespace

void add_outline(HPDF_Doc document, const std::list<PdfCanvas>& pages) {
  HPDF_Outline part = nullptr;
  PagePlace place;
  for (const PdfCanvas& page : pages) {
    for (const Mark& mark : page.marks().marks) {
      place.top = mark.top;
      const HPDF_Outline above = mark.level == MarkLevel::section ? part : nullptr;
      const HPDF_Outline entry =
          HPDF_CreateOutline(document, above, in_basic_plane(printable(mark.title)).c_str(),
                             HPDF_GetCurrentEncoder(document));
      if (entry == nullptr) return;
      HPDF_Outline_SetDestination(entry, destination(document, place));
      if (mark.level == MarkLevel::part) part = entry;
    }
    ++place.page;
  }
}

void add_link(HPDF_Doc document, std::size_t page, const Rect& area, const PagePlace& to) {
  const HPDF_Page from = HPDF_GetPageByIndex(document, static_cast<HPDF_UINT>(page));
  const HPDF_Rect rect{static_cast<HPDF_REAL>(std::round(area.x)), from_below(from, area.bottom()),
                       static_cast<HPDF_REAL>(std::round(area.right())), from_below(from, area.y)};
  const HPDF_Annotation link = HPDF_Page_CreateLinkAnnot(from, rect, destination(document, to));
  if (link != nullptr) HPDF_LinkAnnot_SetBorderStyle(link, 0, 0, 0);
}

}  // namespace sagbench::reports
