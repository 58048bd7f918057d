#include "reports/verdict_box.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "analysis/rating.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

using analysis::Rating;
using analysis::Verdict;

constexpr double kBetween = 12.0;
constexpr double kPadding = 8.0;
constexpr double kSymbolRadius = 11.0;
constexpr Font kVerdict{14.0, Weight::bold, kInk};
constexpr double kHeadHeight = 6 * kGrid;

// Told apart by shape alone: disc with a tick, triangle with a bar, square with a cross, empty
// ring.
void draw_symbol(Canvas& canvas, Point c, Verdict verdict) {
  const double r = kSymbolRadius;
  const Stroke white{kWhite, 2.4};
  switch (verdict) {
    case Verdict::suits: {
      canvas.disc(c, r, kGreen);
      const Point tick[] = {{c.x - 5, c.y}, {c.x - 1.5, c.y + 4}, {c.x + 5.5, c.y - 4.5}};
      return canvas.polyline(tick, white);
    }
    case Verdict::marginal: {
      const Point corners[] = {{c.x, c.y - r}, {c.x + r, c.y + 0.8 * r}, {c.x - r, c.y + 0.8 * r}};
      canvas.polygon(corners, kOrange);
      canvas.line({c.x, c.y - 4}, {c.x, c.y + 3}, {kBlack, 2.2});
      return canvas.line({c.x, c.y + 5}, {c.x, c.y + 7}, {kBlack, 2.2});
    }
    case Verdict::does_not_suit:
      canvas.fill({c.x - r, c.y - r, 2 * r, 2 * r}, kVermilion);
      canvas.line({c.x - 5, c.y - 5}, {c.x + 5, c.y + 5}, white);
      return canvas.line({c.x - 5, c.y + 5}, {c.x + 5, c.y - 5}, white);
    case Verdict::not_measured:
      return canvas.ring(c, r - 1, {kGrey, 1.4, {2, 2}});
  }
}

// The radio whose supply limit the rating was made with.
const analysis::Radio* radio_of(const Rating& rating, const ReportInput& input) {
  for (const auto& step : input.recording.steps) {
    if (!step.radio || step.radio->radio_class != rating.radio_class) continue;
    if (!rating.radio || step.radio->name == *rating.radio) return &*step.radio;
  }
  return nullptr;
}

std::string margin_words(const Rating& rating) {
  if (!rating.margin_v) return "Margin: \xE2\x80\x93";
  std::string text = "Margin " + operator_text(*rating.margin_v, "V");
  if (rating.margin_charge) text += " at " + percent_text(*rating.margin_charge) + " charge";
  return text;
}

struct Box {
  std::vector<std::string> margin, because, changes, conditions;
  double height = 0.0;
};

std::string change_words(const Rating& rating) {
  std::string text;
  for (const std::string& change : rating.would_change)
    text += (text.empty() ? "Would change it: " : "; ") + change;
  return text.empty() ? text : text + ".";
}

/// With what the verdict risks.
std::string qualified(const Rating& rating, const ReportInput& input) {
  const std::string risk = as_printed(analysis::risk_words(rating));
  return risk + (risk.empty() ? "" : " ") + conditions_of(rating, input);
}

Box lay_out(const Canvas& canvas, const Rating& rating, const ReportInput& input, double width) {
  constexpr std::size_t kMostLines = 7;
  constexpr std::size_t kUsualReason = 4, kUsualChanges = 5, kFewChanges = 2;
  const double inner = width - 2 * kPadding;
  Box box;
  box.margin = wrap_at_most(canvas, margin_words(rating), kBodyBold, inner, 2);
  box.because = wrap_at_most(canvas, as_printed(rating.because), kBody, inner, kMostLines);
  // The page has other things to tell: a long reason leaves little room for what would change it.
  const bool long_reason = box.because.size() > kUsualReason;
  if (!rating.would_change.empty())
    box.changes = wrap_at_most(canvas, as_printed(change_words(rating)), kSmall, inner,
                               long_reason ? kFewChanges : kUsualChanges);
  if (rating.verdict != Verdict::not_measured) {
    box.conditions = wrap_at_most(canvas, qualified(rating, input), kSmall, inner, 5);
  }
  const auto lines =
      box.margin.size() + box.because.size() + box.changes.size() + box.conditions.size();
  box.height = kHeadHeight + static_cast<double>(lines) * kLeading + 3 * kGrid;
  return box;
}

void draw_box(Canvas& canvas, const Rect& rect, const Rating& rating, const Box& box) {
  const std::string name{name_of(rating.radio_class)};
  canvas.claim(rect, "verdict " + name);
  canvas.frame(rect, {kGrey, 0.6});
  const Point symbol{rect.x + kPadding + kSymbolRadius, rect.y + kPadding + kSymbolRadius};
  draw_symbol(canvas, symbol, rating.verdict);
  canvas.refer({rect.right() - kPadding, rect.y + kPadding + kSmall.size}, kVerdictFacts);
  const double x = symbol.x + kSymbolRadius + kPadding;
  const std::string verdict = name + ": " + std::string(name_of(rating.verdict));
  canvas.mark(verdict, rect.y, MarkLevel::section);
  canvas.text({x, rect.y + 5.2 * kGrid}, verdict, kVerdict);
  double top = rect.y + kHeadHeight + kGrid;
  const double left = rect.x + kPadding;
  top = draw_lines(canvas, {left, top}, box.margin, kBodyBold);
  top = draw_lines(canvas, {left, top}, box.because, kBody);
  top = draw_lines(canvas, {left, top}, box.changes, kSmall);
  draw_lines(canvas, {left, top}, box.conditions, kSmall);
}

}  // namespace

std::string conditions_of(const Rating& rating, const ReportInput& input) {
  std::string text = "Holds for: ";
  const auto* radio = radio_of(rating, input);
  if (rating.radio) text += *rating.radio + ", ";
  if (radio != nullptr) {
    text +=
        fmt::format("supply limit {}, peaks of {}, ", quantity_text(radio->supply_min_v, "V", 4),
                    quantity_text(radio->transmit_peak_a, "A"));
  }
  if (rating.cable_ohm) text += "cable " + resistance_text({*rating.cable_ohm, 0.0, 2.0}) + ", ";
  text += temperature_words(rating.temperature_c) + ", ";
  return text + age_words(input.recording.pack, input.record.header.utc) + ".";
}

double draw_verdicts(Canvas& canvas, Point top_left, double width, const ReportInput& input) {
  const auto& ratings = input.figures.ratings;
  if (ratings.empty()) {
    const auto lines = wrap(canvas, "This run was not rated for a radio.", kBody, width);
    return draw_lines(canvas, top_left, lines, kBody);
  }
  const auto count = static_cast<double>(ratings.size());
  const double box_width = (width - (count - 1) * kBetween) / count;
  std::vector<Box> boxes;
  double height = 0.0;
  for (const Rating& rating : ratings) {
    boxes.push_back(lay_out(canvas, rating, input, box_width));
    height = std::max(height, boxes.back().height);
  }
  double x = top_left.x;
  for (std::size_t i = 0; i < ratings.size(); ++i) {
    draw_box(canvas, {x, top_left.y, box_width, height}, ratings[i], boxes[i]);
    x += box_width + kBetween;
  }
  return top_left.y + height;
}

}  // namespace sagbench::reports
