// What an ageing history tells, in sentences.
#include <fmt/format.h>

#include <cmath>

#include "reports/ageing_history.hpp"
#include "reports/number_text.hpp"
#include "reports/numbered_reasons.hpp"

namespace sagbench::reports {
namespace {

using analysis::Measured;
using analysis::Trend;

constexpr double kYear = 365.25;

Measured times(const Measured& measured, double factor) {
  return {measured.value * factor, measured.expanded_uncertainty * factor,
          measured.coverage_factor};
}

Measured size_of(const Measured& measured) {
  return {std::abs(measured.value), measured.expanded_uncertainty, measured.coverage_factor};
}

bool says_something(const Measured& difference) {
  return std::abs(difference.value) > difference.expanded_uncertainty;
}

std::string span_words(double days) {
  constexpr double kMonth = 30.44;
  if (days < 2 * kMonth) return quantity_text(days, "days");
  return days < 2 * kYear ? quantity_text(days / kMonth, "months", 2)
                          : quantity_text(days / kYear, "years", 2);
}

std::string state_words(const AgeingHistory& history) {
  const AgeingSeries& capacity = history.capacity();
  if (capacity.over_days.empty()) return "No test measured the capacity on a known date.";
  const Measured& last = capacity.over_days.back().y;
  const double share = last.value / history.pack.rated_capacity_ah;
  std::string text =
      fmt::format("Capacity at the last test, {}: {}, {} of the rated {}",
                  history.date_of(capacity.over_days.back().x), measured_text(last, "Ah"),
                  percent_text(share), quantity_text(history.pack.rated_capacity_ah, "Ah"));
  const double away = last.value - history.worn.level_ah;
  if (std::abs(away) <= last.expanded_uncertainty)
    text += "; whether that is above 80 % is in doubt";
  else if (away < 0.0)
    text += ": worn";
  return text + ".";
}

std::string trend_words(const AgeingSeries& series, const Trend& trend) {
  const Measured a_year = times(trend.slope, kYear);
  const std::string basis =
      fmt::format("{} tests over {}{}", trend.points, span_words(trend.last_x - trend.first_x),
                  trend.by_scatter ? ", which scatter more than their uncertainties" : "");
  if (!trend.significant())
    return fmt::format("{}: no significant trend, {} a year ({}).", series.name,
                       measured_text(a_year, series.unit), basis);
  return fmt::format("{} {} by {} a year ({}).", series.name,
                     trend.slope.value < 0.0 ? "falls" : "rises",
                     measured_text(size_of(a_year), series.unit), basis);
}

std::string series_words(const AgeingSeries& series) {
  if (series.by_day) return trend_words(series, *series.by_day);
  if (series.tests.empty())
    return fmt::format("{}: no test tells it; of the last: {}.", series.name,
                       without_stop(series.by_day.why()));
  if (series.tests.size() == 1)
    return series.name + ": one test tells how it is, not how it changes.";
  const auto change = series.change();
  if (series.tests.size() > 2) return series.name + ": no trend, " + series.by_day.why() + ".";
  return fmt::format("{}: two tests that are alike differ by {}, {}; a trend takes three.",
                     series.name, measured_text(*change, series.unit),
                     says_something(*change) ? "which is significant" : "which is not significant");
}

std::string use_words(const AgeingSeries& capacity) {
  if (!capacity.by_use || !capacity.by_use->significant()) return {};
  return fmt::format(
      "Over the charge that the runs of this archive drew, it {} by {} a full discharge; "
      "what the pack gave elsewhere is not known.",
      capacity.by_use->slope.value < 0.0 ? "falls" : "rises",
      measured_text(size_of(capacity.by_use->slope), "Ah"));
}

std::string worn_words(const AgeingHistory& history) {
  const auto& worn = history.worn;
  const std::string level =
      fmt::format("80 % of the rated capacity ({})", quantity_text(worn.level_ah, "Ah"));
  if (worn.not_before)
    return fmt::format("{} is not reached before {}; when, cannot be told: {}.", level,
                       history.date_of(*worn.not_before), worn.why);
  if (!worn.earliest) return fmt::format("When {} is reached cannot be told: {}.", level, worn.why);
  const std::string from = history.date_of(*worn.earliest);
  const bool past = worn.latest && *worn.latest <= history.capacity().by_day->last_x;
  if (worn.latest)
    return fmt::format("{} {} reached between {} and {}.", level, past ? "was" : "is", from,
                       history.date_of(*worn.latest));
  return fmt::format(
      "{} may be reached from {} on; how late, cannot be told beyond {}, as far as the trend is "
      "carried on.",
      level, from, history.date_of(*worn.told_until));
}

std::string next_words(const AgeingHistory& history) {
  if (!history.next) return "Next test: " + history.next.why() + ".";
  if (!history.next->day) return "Next test: none, " + history.next->because + ".";
  return fmt::format("Next test: {} ({}).", history.date_of(*history.next->day),
                     history.next->because);
}

}  // namespace

std::vector<std::string> statements_on(const AgeingHistory& history) {
  std::vector<std::string> lines = {state_words(history), worn_words(history), next_words(history)};
  for (const AgeingSeries* series : history.all_series()) {
    // What was never measured needs no sentence of its own, but for what was asked for.
    const bool is_capacity = series == &history.capacity();
    if (series->tests.empty() && !is_capacity && series->unit != "h") continue;
    lines.push_back(series_words(*series));
    if (!is_capacity) continue;
    if (auto use = use_words(*series); !use.empty()) lines.push_back(std::move(use));
  }
  return lines;
}

}  // namespace sagbench::reports
