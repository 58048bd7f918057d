#include "reports/pdf_canvas.hpp"

#include <cmath>
#include <string>

#include "reports/pdf_picture.hpp"

namespace sagbench::reports {
namespace {

constexpr double kPageMargin = 18.0 / 25.4 * 72.0;  // 18 mm
// A hundredth of a point is finer than any printer; more digits only swell the file.
constexpr double kGrain = 100.0;

HPDF_REAL rounded(double value) noexcept {
  return static_cast<HPDF_REAL>(std::round(value * kGrain) / kGrain);
}

}  // namespace

PdfCanvas::PdfCanvas(HPDF_Page page, const PdfTypeface& typeface)
    : Canvas(static_cast<double>(HPDF_Page_GetWidth(page)),
             static_cast<double>(HPDF_Page_GetHeight(page)), kPageMargin, typeface),
      page_(page),
      typeface_(typeface) {}

HPDF_REAL PdfCanvas::across(double x) const noexcept {
  return rounded(x);
}
HPDF_REAL PdfCanvas::up(double y) const noexcept {
  return rounded(height() - y);
}

void PdfCanvas::set_stroke(const Stroke& stroke) {
  const auto& c = stroke.colour;
  HPDF_Page_SetRGBStroke(page_, rounded(c.red), rounded(c.green), rounded(c.blue));
  HPDF_Page_SetLineWidth(page_, rounded(stroke.width));
  const HPDF_UINT16 pattern[] = {stroke.dash.on, stroke.dash.off};
  if (stroke.dash.on == 0) {
    HPDF_Page_SetDash(page_, nullptr, 0, 0);
  } else {
    HPDF_Page_SetDash(page_, pattern, 2, 0);
  }
}

void PdfCanvas::set_fill(const Colour& colour) {
  HPDF_Page_SetRGBFill(page_, rounded(colour.red), rounded(colour.green), rounded(colour.blue));
}

void PdfCanvas::path(std::span<const Point> points) {
  HPDF_Page_MoveTo(page_, across(points[0].x), up(points[0].y));
  for (const Point& p : points.subspan(1)) HPDF_Page_LineTo(page_, across(p.x), up(p.y));
}

void PdfCanvas::path(const Rect& rect) {
  HPDF_Page_Rectangle(page_, across(rect.x), up(rect.bottom()), rounded(rect.width),
                      rounded(rect.height));
}

void PdfCanvas::put_text(Point left, double /*width*/, std::string_view text, const Font& font) {
  set_fill(font.colour);
  HPDF_Page_BeginText(page_);
  double x = left.x;
  for (const PdfTypeface::Run& run : typeface_.runs(text, font.weight)) {
    HPDF_Page_SetFontAndSize(page_, run.font, rounded(font.size));
    HPDF_Page_TextOut(page_, across(x), up(left.y), run.text.c_str());
    x += PdfTypeface::width(run, font.size);
  }
  HPDF_Page_EndText(page_);
}

void PdfCanvas::put_line(std::span<const Point> points, const Stroke& stroke) {
  set_stroke(stroke);
  HPDF_Page_SetLineJoin(page_, HPDF_ROUND_JOIN);
  path(points);
  HPDF_Page_Stroke(page_);
}

void PdfCanvas::put_area(std::span<const Point> corners, const Colour& fill) {
  set_fill(fill);
  path(corners);
  HPDF_Page_ClosePath(page_);
  HPDF_Page_Fill(page_);
}

void PdfCanvas::put_disc(Point centre, double radius, const Colour& fill) {
  set_fill(fill);
  HPDF_Page_Circle(page_, across(centre.x), up(centre.y), rounded(radius));
  HPDF_Page_Fill(page_);
}

void PdfCanvas::put_ring(Point centre, double radius, const Stroke& stroke) {
  set_stroke(stroke);
  HPDF_Page_Circle(page_, across(centre.x), up(centre.y), rounded(radius));
  HPDF_Page_Stroke(page_);
}

void PdfCanvas::put_fill(const Rect& rect, const Colour& colour) {
  set_fill(colour);
  path(rect);
  HPDF_Page_Fill(page_);
}

void PdfCanvas::put_frame(const Rect& rect, const Stroke& stroke) {
  set_stroke(stroke);
  path(rect);
  HPDF_Page_Stroke(page_);
}

void PdfCanvas::put_image(HPDF_Image image, const Rect& box, int orientation) {
  const auto [a, b, c, d, e, f] =
      placed({box.x, height() - box.bottom(), box.width, box.height}, orientation);
  HPDF_Page_GSave(page_);
  HPDF_Page_Concat(page_, rounded(a), rounded(b), rounded(c), rounded(d), rounded(e), rounded(f));
  HPDF_Page_DrawImage(page_, image, 0, 0, 1, 1);
  HPDF_Page_GRestore(page_);
}

void PdfCanvas::begin_clip(const Rect& rect) {
  HPDF_Page_GSave(page_);
  path(rect);
  HPDF_Page_Clip(page_);
  HPDF_Page_EndPath(page_);
}

void PdfCanvas::end_clip() {
  HPDF_Page_GRestore(page_);
}

}  // namespace sagbench::reports
