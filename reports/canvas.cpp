#include "reports/canvas.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>

namespace sagbench::reports {
namespace {

// Height of the letters above and below the baseline as a part of the font size (DejaVu Sans:
// capitals 0.729, descenders 0.236).
constexpr double kAscent = 0.73;
constexpr double kDescent = 0.24;
// A hundredth of a point is finer than any printer; more digits only swell the file.
constexpr double kGrain = 100.0;

HPDF_REAL rounded(double value) noexcept {
  return static_cast<HPDF_REAL>(std::round(value * kGrain) / kGrain);
}

}  // namespace

Canvas::Canvas(HPDF_Page page, FontHandles fonts)
    : page_(page),
      fonts_(fonts),
      width_(static_cast<double>(HPDF_Page_GetWidth(page))),
      height_(static_cast<double>(HPDF_Page_GetHeight(page))) {}

HPDF_REAL Canvas::across(double x) const noexcept {
  return rounded(x);
}
HPDF_REAL Canvas::up(double y) const noexcept {
  return rounded(height_ - y);
}

HPDF_Font Canvas::handle(Weight weight) const noexcept {
  return weight == Weight::bold ? fonts_.bold : fonts_.regular;
}

double Canvas::text_width(std::string_view text, const Font& font) const {
  const auto* bytes = reinterpret_cast<const HPDF_BYTE*>(text.data());
  const auto measured =
      HPDF_Font_TextWidth(handle(font.weight), bytes, static_cast<HPDF_UINT>(text.size()));
  return static_cast<double>(measured.width) * font.size / 1000.0;
}

void Canvas::text(Point baseline, std::string_view text, const Font& font, Align align) {
  if (text.empty()) return;
  const double width = text_width(text, font);
  const double shift = align == Align::left ? 0.0 : align == Align::centre ? width / 2 : width;
  const Point at{baseline.x - shift, baseline.y};
  const auto& c = font.colour;
  HPDF_Page_SetRGBFill(page_, rounded(c.red), rounded(c.green), rounded(c.blue));
  HPDF_Page_BeginText(page_);
  HPDF_Page_SetFontAndSize(page_, handle(font.weight), rounded(font.size));
  HPDF_Page_TextOut(page_, across(at.x), up(at.y), std::string(text).c_str());
  HPDF_Page_EndText(page_);
  texts_.push_back({{at.x, at.y - kAscent * font.size, width, (kAscent + kDescent) * font.size},
                    std::string(text)});
}

void Canvas::set_stroke(const Stroke& stroke) {
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

void Canvas::line(Point from, Point to, const Stroke& stroke) {
  const Point both[] = {from, to};
  polyline(both, stroke);
}

void Canvas::polyline(std::span<const Point> points, const Stroke& stroke) {
  if (points.size() < 2) return;
  set_stroke(stroke);
  HPDF_Page_SetLineJoin(page_, HPDF_ROUND_JOIN);
  HPDF_Page_MoveTo(page_, across(points[0].x), up(points[0].y));
  for (const Point& p : points.subspan(1)) HPDF_Page_LineTo(page_, across(p.x), up(p.y));
  HPDF_Page_Stroke(page_);
}

void Canvas::polygon(std::span<const Point> points, const Colour& fill) {
  if (points.size() < 3) return;
  HPDF_Page_SetRGBFill(page_, rounded(fill.red), rounded(fill.green), rounded(fill.blue));
  HPDF_Page_MoveTo(page_, across(points[0].x), up(points[0].y));
  for (const Point& p : points.subspan(1)) HPDF_Page_LineTo(page_, across(p.x), up(p.y));
  HPDF_Page_ClosePath(page_);
  HPDF_Page_Fill(page_);
}

void Canvas::disc(Point centre, double radius, const Colour& fill) {
  HPDF_Page_SetRGBFill(page_, rounded(fill.red), rounded(fill.green), rounded(fill.blue));
  HPDF_Page_Circle(page_, across(centre.x), up(centre.y), rounded(radius));
  HPDF_Page_Fill(page_);
}

void Canvas::ring(Point centre, double radius, const Stroke& stroke) {
  set_stroke(stroke);
  HPDF_Page_Circle(page_, across(centre.x), up(centre.y), rounded(radius));
  HPDF_Page_Stroke(page_);
}

void Canvas::fill(const Rect& rect, const Colour& colour) {
  HPDF_Page_SetRGBFill(page_, rounded(colour.red), rounded(colour.green), rounded(colour.blue));
  HPDF_Page_Rectangle(page_, across(rect.x), up(rect.bottom()), rounded(rect.width),
                      rounded(rect.height));
  HPDF_Page_Fill(page_);
}

void Canvas::frame(const Rect& rect, const Stroke& stroke) {
  set_stroke(stroke);
  HPDF_Page_Rectangle(page_, across(rect.x), up(rect.bottom()), rounded(rect.width),
                      rounded(rect.height));
  HPDF_Page_Stroke(page_);
}

void Canvas::begin_clip(const Rect& rect) {
  HPDF_Page_GSave(page_);
  HPDF_Page_Rectangle(page_, across(rect.x), up(rect.bottom()), rounded(rect.width),
                      rounded(rect.height));
  HPDF_Page_Clip(page_);
  HPDF_Page_EndPath(page_);
}

void Canvas::end_clip() {
  HPDF_Page_GRestore(page_);
}

void Canvas::claim(const Rect& rect, std::string_view name) {
  blocks_.push_back({rect, std::string(name)});
}

std::vector<std::string> Canvas::layout_faults() const {
  std::vector<std::string> faults;
  const Rect page = Rect{0, 0, width_, height_}.inset(kMargin);
  const auto check_page = [&](const Placed& placed) {
    if (!contains(page, placed.rect)) faults.push_back("outside the margins: " + placed.what);
  };
  for (std::size_t i = 0; i < texts_.size(); ++i) {
    check_page(texts_[i]);
    for (std::size_t j = i + 1; j < texts_.size(); ++j) {
      if (overlap(texts_[i].rect, texts_[j].rect)) {
        faults.push_back(fmt::format("texts overlap: {} | {}", texts_[i].what, texts_[j].what));
      }
    }
    for (const Placed& block : blocks_) {
      if (overlap(texts_[i].rect, block.rect) && !contains(block.rect, texts_[i].rect)) {
        faults.push_back(fmt::format("block {} cuts text: {}", block.what, texts_[i].what));
      }
    }
  }
  for (std::size_t i = 0; i < blocks_.size(); ++i) {
    check_page(blocks_[i]);
    for (std::size_t j = i + 1; j < blocks_.size(); ++j) {
      const auto &a = blocks_[i], &b = blocks_[j];
      const bool nested = contains(a.rect, b.rect) || contains(b.rect, a.rect);
      if (overlap(a.rect, b.rect) && !nested) {
        faults.push_back(fmt::format("blocks overlap: {} | {}", a.what, b.what));
      }
    }
  }
  return faults;
}

}  // namespace sagbench::reports
