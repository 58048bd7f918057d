#include "reports/capacity_bar.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr Font kFigure{12.0, Weight::bold, kInk};
constexpr double kBarHeight = 12.0;
// Common practice for lead-acid (IEEE 450 and 1188 users) and widely taken over: replace below 80 %
// of the rating.
constexpr double kReplaceBelow = 0.8;

void draw_bar(Canvas& canvas, const Rect& rect, const analysis::Measured& charge, double rated) {
  const double full = 1.05 * std::max(rated, charge.value + charge.expanded_uncertainty);
  const auto at = [&](double ah) { return rect.x + std::clamp(ah / full, 0.0, 1.0) * rect.width; };
  canvas.fill({rect.x, rect.y, at(rated) - rect.x, rect.height}, kMist);
  canvas.fill({rect.x, rect.y + 2, at(charge.value) - rect.x, rect.height - 4}, kBlue);
  canvas.frame({rect.x, rect.y, at(rated) - rect.x, rect.height}, {kInk, 0.8});
  const double low = at(charge.value - charge.expanded_uncertainty);
  const double high = at(charge.value + charge.expanded_uncertainty);
  const double y = rect.y + rect.height / 2;
  const Stroke whisker{kBlack, 1.2};
  canvas.line({low, y}, {high, y}, whisker);
  canvas.line({low, y - 4}, {low, y + 4}, whisker);
  canvas.line({high, y - 4}, {high, y + 4}, whisker);
  const double replace = at(kReplaceBelow * rated);
  canvas.line({replace, rect.y - 2}, {replace, rect.bottom() + 2}, {kVermilion, 1.0, {2, 2}});
}

std::string conditions(const analysis::Capacity& capacity) {
  return fmt::format("Discharged at {} ({} It) to {}, {}.",
                     quantity_text(capacity.mean_current_a, "A"), number_text(capacity.rate_it),
                     quantity_text(capacity.to_voltage_v, "V", 4),
                     temperature_words(capacity.temperature_c));
}

}  // namespace

double draw_capacity(Canvas& canvas, Point top_left, double width, const analysis::Figures& figures,
                     const analysis::Pack& pack) {
  double top =
      draw_heading(canvas, top_left, width, "Real capacity against the label", MarkLevel::section);
  refer_from_heading(canvas, top_left, width, kChargeBudget);
  if (!figures.capacity) {
    const auto why = "Not measured: " + as_printed(figures.capacity.why());
    return draw_lines(canvas, {top_left.x, top}, wrap_at_most(canvas, why, kBody, width, 4), kBody);
  }
  const auto& charge = figures.capacity->charge_ah;
  canvas.text({top_left.x, top + 2.8 * kGrid}, measured_text(charge, "Ah"), kFigure);
  top += 4 * kGrid;
  const std::string share =
      pack.rated_capacity_ah > 0.0
          ? fmt::format("{} of the rated {}", percent_text(charge.value / pack.rated_capacity_ah),
                        quantity_text(pack.rated_capacity_ah, "Ah"))
          : "no rated capacity to compare with";
  top = draw_lines(canvas, {top_left.x, top}, {share}, kBodyBold);
  draw_bar(canvas, {top_left.x, top + 3, width, kBarHeight}, charge, pack.rated_capacity_ah);
  top += 4 * kGrid;
  const std::string key =
      "Frame: the label. Bar: measured, with its uncertainty. Dashes: 80\xC2\xA0% of the label, "
      "the "
      "usual point of replacement (common practice). ";
  return draw_lines(canvas, {top_left.x, top},
                    wrap_at_most(canvas, key + conditions(*figures.capacity), kSmall, width, 6),
                    kSmall);
}

}  // namespace sagbench::reports
