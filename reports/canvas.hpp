#pragma once
// One page to draw on: whoever draws need not know whether it becomes part of a PDF or an SVG file.
// It remembers where things went.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "reports/geometry.hpp"
#include "reports/ink.hpp"
#include "reports/page_layout.hpp"
#include "reports/page_marks.hpp"
#include "reports/typeface.hpp"

namespace sagbench::reports {

enum class Align { left, centre, right };

class Canvas {
 public:
  virtual ~Canvas() = default;
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  double width() const noexcept { return width_; }
  double height() const noexcept { return height_; }
  /// What is inside the margins.
  const Rect& inner() const noexcept { return inner_; }

  double text_width(std::string_view text, const Font& font) const {
    return typeface_.text_width(text, font);
  }
  /// One line; `x` is its left end, middle or right end. Text must be printable().
  void text(Point baseline, std::string_view text, const Font& font, Align align = Align::left);

  void line(Point from, Point to, const Stroke& stroke);
  void polyline(std::span<const Point> points, const Stroke& stroke);
  void polygon(std::span<const Point> points, const Colour& fill);
  void disc(Point centre, double radius, const Colour& fill);
  void ring(Point centre, double radius, const Stroke& stroke);
  void fill(const Rect& rect, const Colour& colour);
  void frame(const Rect& rect, const Stroke& stroke);

  /// Calls `draw` for the content of a plot, with everything further than `beyond` outside `rect`
  /// cut off. No text but what `draw` writes may lie over it.
  template <class Draw>
  void plot(const Rect& rect, double beyond, std::string_view name, Draw&& draw) {
    const Rect room = rect.inset(-beyond);
    layout_.open_plot(rect, room, name);
    begin_clip(room);
    draw();
    end_clip();
    layout_.close_plot();
  }

  /// Declares that `rect` belongs to one part of the page: other text must stay out of it.
  void claim(const Rect& rect, std::string_view name) { layout_.add_block(rect, name); }
  std::vector<std::string> layout_faults() const { return layout_.faults(); }
  /// Where its plots are.
  std::vector<Rect> plots() const { return layout_.plots(); }

  /// `title` begins at `top`.
  void mark(std::string_view title, double top, MarkLevel level = MarkLevel::part);
  /// "page 5" is to end at `right_end`, where the document has a mark `title`.
  void refer(Point right_end, std::string_view title);
  const PageMarks& marks() const noexcept { return marks_; }

 protected:
  /// `typeface` is lent for as long as the canvas lives.
  Canvas(double width, double height, double margin, const Typeface& typeface);

 private:
  // Outputs draw; what is drawn has been noted already. There are two points or more in a line,
  // three or more in an area.
  virtual void put_text(Point left, double width, std::string_view text, const Font& font) = 0;
  virtual void put_line(std::span<const Point> points, const Stroke& stroke) = 0;
  virtual void put_area(std::span<const Point> corners, const Colour& fill) = 0;
  virtual void put_disc(Point centre, double radius, const Colour& fill) = 0;
  virtual void put_ring(Point centre, double radius, const Stroke& stroke) = 0;
  virtual void put_fill(const Rect& rect, const Colour& colour) = 0;
  virtual void put_frame(const Rect& rect, const Stroke& stroke) = 0;
  virtual void begin_clip(const Rect& rect) = 0;
  virtual void end_clip() = 0;

  const Typeface& typeface_;
  double width_;
  double height_;
  Rect inner_;
  PageLayout layout_;
  PageMarks marks_;
};

}  // namespace sagbench::reports
