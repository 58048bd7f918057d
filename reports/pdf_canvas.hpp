#pragma once
// A page of a PDF.

#include <hpdf.h>

#include "reports/canvas.hpp"
#include "reports/pdf_typeface.hpp"

namespace sagbench::reports {

/// Lent by PdfDocument and valid as long as it. Errors of the PDF library are kept by the document;
/// see PdfDocument::check.
class PdfCanvas final : public Canvas {
 public:
  /// `page` has its size already.
  PdfCanvas(HPDF_Page page, const PdfTypeface& typeface);

  /// `orientation`: as Picture::orientation.
  void put_image(HPDF_Image image, const Rect& box, int orientation);

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

  void set_stroke(const Stroke& stroke);
  void set_fill(const Colour& colour);
  void path(std::span<const Point> points);
  void path(const Rect& rect);
  HPDF_REAL across(double x) const noexcept;
  HPDF_REAL up(double y) const noexcept;

  HPDF_Page page_;
  const PdfTypeface& typeface_;
};

}  // namespace sagbench::reports
