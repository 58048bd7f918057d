#include "reports/verdict_facts.hpp"

#include <algorithm>
#include <iterator>

#include "reports/number_text.hpp"
#include "reports/paragraph.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr double kBetween = 12.0;
constexpr std::size_t kMostLinesOfFact = 4;
constexpr std::size_t kMostLines = 18;  // of one rating

}  // namespace

VerdictFacts::VerdictFacts(const Canvas& canvas, const std::vector<analysis::Rating>& ratings,
                           double width)
    : width_(width) {
  const auto count = std::ranges::count_if(
      ratings, [](const analysis::Rating& rating) { return !rating.facts.empty(); });
  const double column = (width + kBetween) / std::max(1.0, static_cast<double>(count)) - kBetween;
  for (const analysis::Rating& rating : ratings) {
    if (rating.facts.empty()) continue;
    Column& made = columns_.emplace_back();
    made.title =
        std::string(name_of(rating.radio_class)) + ": " + std::string(name_of(rating.verdict));
    for (const std::string& fact : rating.facts)
      std::ranges::copy(wrap_at_most(canvas, as_printed(fact), kSmall, column, kMostLinesOfFact),
                        std::back_inserter(made.lines));
    if (made.lines.size() <= kMostLines) continue;
    made.lines.resize(kMostLines - 1);
    made.lines.emplace_back("More than finds room here: analyse --json has all of them.");
  }
}

double VerdictFacts::height() const noexcept {
  std::size_t lines = 0;
  for (const Column& column : columns_) lines = std::max(lines, column.lines.size() + 1);
  return lines == 0 ? 0.0 : kHeadingHeight + kGrid + static_cast<double>(lines) * kLeading;
}

void VerdictFacts::draw(Canvas& canvas, Point top_left) const {
  if (columns_.empty()) return;
  const double top = draw_heading(canvas, top_left, width_, kVerdictFacts, MarkLevel::section);
  const double step = (width_ + kBetween) / static_cast<double>(columns_.size());
  double x = top_left.x;
  for (const Column& column : columns_) {
    const double below = draw_lines(canvas, {x, top}, {column.title}, kBodyBold);
    draw_lines(canvas, {x, below}, column.lines, kSmall);
    x += step;
  }
}

}  // namespace sagbench::reports
