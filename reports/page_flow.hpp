#pragma once
// What stands over the whole width of pages, one below the other, on as many pages as it takes.

#include <string>

#include "reports/pdf_document.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

class PageFlow {
 public:
  /// Begins a page of `document`, which must outlive this.
  explicit PageFlow(PdfDocument& document);

  Canvas& canvas() noexcept { return *canvas_; }
  double width() const noexcept { return area_.width; }
  /// What is left of the page.
  double room() const noexcept { return area_.bottom() - top_; }
  void space(double height) noexcept { top_ += height; }

  void title(const std::string& text);
  /// A ruled heading, on the next page where less than `with` would be left below it.
  void heading(const std::string& text, double with);
  /// Whole rows; the head again on each page.
  void table(Table table);
  void paragraph(const std::string& text, const Font& font);
  /// A place of this height, on the next page where this one has no room. Precondition: a page has.
  Rect take(double height);

 private:
  void turn_page();

  PdfDocument& document_;
  Canvas* canvas_ = nullptr;
  Rect area_;
  double top_ = 0.0;
};

}  // namespace sagbench::reports
