#include "reports/page_flow.hpp"

#include <algorithm>
#include <utility>

#include "reports/report_page.hpp"

namespace sagbench::reports {

PageFlow::PageFlow(PdfDocument& document) : document_(document) {
  turn_page();
}

void PageFlow::turn_page() {
  canvas_ = &document_.add_page();
  area_ = content_area(*canvas_);
  top_ = area_.y;
}

Rect PageFlow::take(double height) {
  if (height > room() + kTouch) turn_page();
  const Rect place{area_.x, top_, area_.width, height};
  top_ += height;
  return place;
}

void PageFlow::title(const std::string& text) {
  constexpr Font kTitle{17.0, Weight::bold, kBlack};
  constexpr double kTitleLeading = 4 * kGrid;
  for (const std::string& line : wrap_at_most(*canvas_, text, kTitle, area_.width, 2)) {
    const Rect place = take(kTitleLeading);
    draw_lines(*canvas_, {place.x, place.y}, {line}, kTitle, kTitleLeading);
  }
}

void PageFlow::heading(const std::string& text, double with) {
  if (kHeadingHeight + with > room()) turn_page();
  const Rect place = take(kHeadingHeight);
  draw_heading(*canvas_, {place.x, place.y}, place.width, text);
}

void PageFlow::table(Table table) {
  // No page holds more rows; a long table is not measured anew as a whole for each.
  constexpr std::size_t kMostRows = 80;
  keep_figures_whole(*canvas_, table);
  std::vector<TableRow> rows = std::exchange(table.rows, {});
  std::size_t done = 0;
  bool fresh = false;
  while (done < rows.size()) {
    const std::size_t count = std::min(kMostRows, rows.size() - done);
    const auto from = rows.begin() + static_cast<std::ptrdiff_t>(done);
    table.rows.assign(from, from + static_cast<std::ptrdiff_t>(count));
    const auto drawn = draw_table(*canvas_, {area_.x, top_}, area_.width, area_.bottom(), table);
    done += count - drawn.rows_left;
    top_ = drawn.bottom;
    if (drawn.rows_left == 0) continue;
    if (drawn.rows_left == count && fresh) throw ReportError("a row is higher than its page");
    turn_page();
    fresh = true;
  }
}

void PageFlow::paragraph(const std::string& text, const Font& font) {
  for (const std::string& line : wrap(*canvas_, text, font, area_.width)) {
    const Rect place = take(kLeading);
    draw_lines(*canvas_, {place.x, place.y}, {line}, font);
  }
}

}  // namespace sagbench::reports
