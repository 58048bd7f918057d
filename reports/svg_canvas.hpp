#pragma once
// A picture as an SVG file (SVG 1.1, XML 1.0): one unit is one point.

#include <string>

#include "reports/canvas.hpp"

namespace sagbench::reports {

/// Same calls, same bytes.
class SvgCanvas final : public Canvas {
 public:
  /// In points. `typeface` says how wide letters are; a viewer without it stretches its own to
  /// that.
  SvgCanvas(double width, double height, const Typeface& typeface);

  /// The whole file. `title` and `description` are read out to those who do not see the picture.
  std::string document(std::string_view title, std::string_view description) const;

 private:
  void put_text(Point left, double width, std::string_view text, const Font& font) override;
  void put_line(std::span<const Point> points, const Stroke& stroke) override;
  void put_area(std::span<const Point> corners, const Colour& fill) override;
  void put_disc(Point centre, double radius, const Colour& fill) override;
  void put_ring(Point centre, double radius, const Stroke& stroke) override;
  void put_fill(const Rect& rect, const Colour& colour) override;
  void put_frame(const Rect& rect, const Stroke& stroke) override;
  void begin_clip(const Rect& rect) override;
  void end_clip() override;

  std::string body_;
};

}  // namespace sagbench::reports
