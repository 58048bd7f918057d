#include "reports/canvas.hpp"

#include <algorithm>

namespace sagbench::reports {
namespace {

// Height of the letters above and below the baseline as a part of the font size (DejaVu Sans:
// capitals 0.729, descenders 0.236).
constexpr double kAscent = 0.73;
constexpr double kDescent = 0.24;

Rect extent(std::span<const Point> points) {
  const auto [left, right] = std::ranges::minmax(points, {}, &Point::x);
  const auto [top, bottom] = std::ranges::minmax(points, {}, &Point::y);
  return {left.x, top.y, right.x - left.x, bottom.y - top.y};
}

Rect around(Point centre, double radius) {
  return {centre.x - radius, centre.y - radius, 2 * radius, 2 * radius};
}

}  // namespace

Canvas::Canvas(double width, double height, double margin, const Typeface& typeface)
    : typeface_(typeface),
      width_(width),
      height_(height),
      inner_(Rect{0, 0, width, height}.inset(margin)),
      layout_(inner_) {}

void Canvas::text(Point baseline, std::string_view text, const Font& font, Align align) {
  if (text.empty()) return;
  const double width = text_width(text, font);
  const double shift = align == Align::left ? 0.0 : align == Align::centre ? width / 2 : width;
  const Point left{baseline.x - shift, baseline.y};
  layout_.add_text({left.x, left.y - kAscent * font.size, width, (kAscent + kDescent) * font.size},
                   text);
  put_text(left, width, text, font);
}

void Canvas::line(Point from, Point to, const Stroke& stroke) {
  const Point both[] = {from, to};
  polyline(both, stroke);
}

void Canvas::polyline(std::span<const Point> points, const Stroke& stroke) {
  if (points.size() < 2) return;
  layout_.add_ink(extent(points));
  put_line(points, stroke);
}

void Canvas::polygon(std::span<const Point> points, const Colour& fill) {
  if (points.size() < 3) return;
  layout_.add_ink(extent(points));
  put_area(points, fill);
}

void Canvas::disc(Point centre, double radius, const Colour& fill) {
  layout_.add_ink(around(centre, radius));
  put_disc(centre, radius, fill);
}

void Canvas::ring(Point centre, double radius, const Stroke& stroke) {
  layout_.add_ink(around(centre, radius));
  put_ring(centre, radius, stroke);
}

void Canvas::fill(const Rect& rect, const Colour& colour) {
  layout_.add_ink(rect);
  put_fill(rect, colour);
}

void Canvas::frame(const Rect& rect, const Stroke& stroke) {
  layout_.add_ink(rect);
  put_frame(rect, stroke);
}

void Canvas::mark(std::string_view title, double top, MarkLevel level) {
  marks_.marks.push_back({std::string(title), top, level});
}

void Canvas::refer(Point right_end, std::string_view title) {
  marks_.references.push_back({right_end, std::string(title)});
}

}  // namespace sagbench::reports
