#pragma once
// One page to draw on. Remembers where text and blocks went, so that layout can be checked by
// machine.

#include <hpdf.h>

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "reports/geometry.hpp"
#include "reports/ink.hpp"

namespace sagbench::reports {

struct FontHandles {
  HPDF_Font regular = nullptr;
  HPDF_Font bold = nullptr;
};

enum class Align { left, centre, right };

/// Lent by PdfDocument and valid as long as it. Errors of the PDF library are kept by the document;
/// see PdfDocument::check.
class Canvas {
 public:
  Canvas(HPDF_Page page, FontHandles fonts);

  double width() const noexcept { return width_; }
  double height() const noexcept { return height_; }

  double text_width(std::string_view text, const Font& font) const;
  /// One line; `x` is its left end, middle or right end. Text must be printable().
  void text(Point baseline, std::string_view text, const Font& font, Align align = Align::left);

  void line(Point from, Point to, const Stroke& stroke);
  void polyline(std::span<const Point> points, const Stroke& stroke);
  void polygon(std::span<const Point> points, const Colour& fill);
  void disc(Point centre, double radius, const Colour& fill);
  void ring(Point centre, double radius, const Stroke& stroke);
  void fill(const Rect& rect, const Colour& colour);
  void frame(const Rect& rect, const Stroke& stroke);

  /// Calls `draw` with everything outside `rect` cut off.
  template <class Draw>
  void clipped(const Rect& rect, Draw&& draw) {
    begin_clip(rect);
    draw();
    end_clip();
  }

  /// Declares that `rect` belongs to one part of the page: other text must stay out of it.
  void claim(const Rect& rect, std::string_view name);
  /// Overlapping texts, texts cut by a claimed block, overlapping blocks, anything outside the
  /// margins. Empty: sound.
  std::vector<std::string> layout_faults() const;

 private:
  struct Placed {
    Rect rect;
    std::string what;
  };

  HPDF_Font handle(Weight weight) const noexcept;
  void set_stroke(const Stroke& stroke);
  void begin_clip(const Rect& rect);
  void end_clip();
  HPDF_REAL across(double x) const noexcept;
  HPDF_REAL up(double y) const noexcept;

  HPDF_Page page_;
  FontHandles fonts_;
  double width_;
  double height_;
  std::vector<Placed> texts_;
  std::vector<Placed> blocks_;
};

/// Page margins: 18 mm.
inline constexpr double kMargin = 18.0 / 25.4 * 72.0;

}  // namespace sagbench::reports
