#include "reports/flow.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr double kFlowLeading = 9.0;
constexpr Font kText{6.8, Weight::regular, kInk};
constexpr Font kName{6.8, Weight::bold, kInk};
constexpr double kBeforeHeading = 6.0;
constexpr double kHeadingRoom = 4 * kFlowLeading;
constexpr double kGutter = 16.0;
constexpr int kMostPages = 3;  // more is not read on paper

}  // namespace

std::vector<Rect> two_columns(const Rect& area) {
  const double width = (area.width - kGutter) / 2;
  return {{area.x, area.y, width, area.height},
          {area.x + width + kGutter, area.y, width, area.height}};
}

Flow::Flow(PdfDocument& document, Canvas& canvas, std::vector<Rect> columns)
    : document_(document), canvas_(&canvas) {
  take(std::move(columns));
}

void Flow::take(std::vector<Rect> columns) {
  columns_ = std::move(columns);
  current_ = 0;
  top_ = columns_.front().y;
  for (const Rect& column : columns_) canvas_->claim(column, "text column");
}

void Flow::turn_page() {
  ++pages_;
  canvas_ = &document_.add_page();
  const Rect area = content_area(*canvas_);
  const double top = draw_heading(*canvas_, {area.x, area.y}, area.width, heading_ + ", continued",
                                  MarkLevel::section);
  take(two_columns({area.x, top, area.width, area.bottom() - top}));
}

double Flow::limit() const {
  const bool last = current_ + 1 == columns_.size() && pages_ == kMostPages;
  return column().bottom() - (last ? kFlowLeading : 0.0);
}

bool Flow::make_room(double height) {
  while (top_ + height > limit() + kTouch) {
    if (current_ + 1 < columns_.size()) {
      ++current_;
      top_ = column().y;
    } else if (pages_ < kMostPages) {
      turn_page();
    } else {
      return false;
    }
  }
  return true;
}

void Flow::heading(const std::string& text) {
  const bool first = top_ == column().y;
  if (!make_room(kHeadingRoom)) return;
  heading_ = text;
  if (!first && top_ != column().y) top_ += kBeforeHeading;
  top_ = draw_heading(*canvas_, {column().x, top_}, column().width, text, MarkLevel::section);
}

void Flow::paragraph(std::string_view text, std::size_t most_lines) {
  for (const auto& line :
       wrap_at_most(*canvas_, as_printed(text), kText, column().width, most_lines)) {
    if (!make_room(kFlowLeading)) {
      ++left_out_;
      continue;
    }
    canvas_->text({column().x, baseline(top_, kFlowLeading)}, line, kText);
    top_ += kFlowLeading;
  }
}

void Flow::entry(const std::string& name, const std::string& value) {
  constexpr double kNameShare = 0.34;
  const double name_width = column().width * kNameShare;
  const auto names = wrap_at_most(*canvas_, name, kName, name_width - 4, 2);
  const auto values = wrap_at_most(*canvas_, value, kText, column().width - name_width, 4);
  const auto lines = std::max(names.size(), values.size());
  if (!make_room(static_cast<double>(lines) * kFlowLeading)) {
    left_out_ += lines;
    return;
  }
  draw_lines(*canvas_, {column().x, top_}, names, kName, kFlowLeading);
  draw_lines(*canvas_, {column().x + name_width, top_}, values, kText, kFlowLeading);
  top_ += static_cast<double>(lines) * kFlowLeading;
}

void Flow::turn() {
  if (pages_ > 1 || current_ > 0 || columns_.size() == 1) return;
  ++current_;
  top_ = column().y;
}

void Flow::finish() {
  if (left_out_ == 0) return;
  const auto line =
      fmt::format("{} more lines found no room: the archive has them all.", left_out_);
  const Rect& last = columns_.back();
  canvas_->text({last.x, baseline(last.bottom() - kFlowLeading, kFlowLeading)},
                fit(*canvas_, line, kName, last.width), kName);
}

}  // namespace sagbench::reports
