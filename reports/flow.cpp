#include "reports/flow.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr double kFlowLeading = 9.0;
constexpr Font kText{6.8, Weight::regular, kInk};
constexpr Font kName{6.8, Weight::bold, kInk};
constexpr double kBeforeHeading = 6.0;
constexpr double kHeadingRoom = 4 * kFlowLeading;

}  // namespace

Flow::Flow(Canvas& canvas, std::vector<Rect> columns)
    : canvas_(canvas), columns_(std::move(columns)), top_(columns_.front().y) {
  for (const Rect& column : columns_) canvas_.claim(column, "text column");
}

double Flow::limit() const {
  const bool last = current_ + 1 == columns_.size();
  return column().bottom() - (last ? kFlowLeading : 0.0);
}

bool Flow::make_room(double height) {
  while (top_ + height > limit() + kTouch) {
    if (current_ + 1 == columns_.size()) return false;
    ++current_;
    top_ = column().y;
  }
  return true;
}

void Flow::heading(const std::string& text) {
  const bool first = top_ == column().y;
  if (!make_room(kHeadingRoom)) return;
  if (!first && top_ != column().y) top_ += kBeforeHeading;
  top_ = draw_heading(canvas_, {column().x, top_}, column().width, text);
}

void Flow::paragraph(std::string_view text, std::size_t most_lines) {
  for (const auto& line : wrap_at_most(canvas_, text, kText, column().width, most_lines)) {
    if (!make_room(kFlowLeading)) {
      ++left_out_;
      continue;
    }
    canvas_.text({column().x, baseline(top_, kFlowLeading)}, line, kText);
    top_ += kFlowLeading;
  }
}

void Flow::entry(const std::string& name, const std::string& value) {
  constexpr double kNameShare = 0.34;
  const double name_width = column().width * kNameShare;
  const auto names = wrap_at_most(canvas_, name, kName, name_width - 4, 2);
  const auto values = wrap_at_most(canvas_, value, kText, column().width - name_width, 4);
  const auto lines = std::max(names.size(), values.size());
  if (!make_room(static_cast<double>(lines) * kFlowLeading)) {
    left_out_ += lines;
    return;
  }
  draw_lines(canvas_, {column().x, top_}, names, kName, kFlowLeading);
  draw_lines(canvas_, {column().x + name_width, top_}, values, kText, kFlowLeading);
  top_ += static_cast<double>(lines) * kFlowLeading;
}

void Flow::turn() {
  if (current_ > 0 || columns_.size() == 1) return;
  ++current_;
  top_ = column().y;
}

void Flow::finish() {
  if (left_out_ == 0) return;
  const auto line =
      fmt::format("{} more lines found no room: the archive has them all.", left_out_);
  const Rect& last = columns_.back();
  canvas_.text({last.x, baseline(last.bottom() - kFlowLeading, kFlowLeading)},
               fit(canvas_, line, kName, last.width), kName);
}

}  // namespace sagbench::reports
