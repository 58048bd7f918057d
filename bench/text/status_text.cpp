#include "bench/text/status_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <utility>

#include "bench/safety/safety_checks.hpp"
#include "bench/text/duration_text.hpp"
#include "reports/printable_text.hpp"

namespace sagbench::bench {
namespace {

/// "1:02:03".
std::string elapsed_text(double seconds) {
  const auto whole = static_cast<long>(seconds);
  return fmt::format("{}:{:02}:{:02}", whole / 3600, whole % 3600 / 60, whole % 60);
}

std::string step_text(const StatusShown& shown) {
  const RunState& state = shown.state;
  if (state.label.empty()) return "getting ready";
  return fmt::format("step {} of {}: {}", state.plan_step + 1, shown.run.plan.size(),
                     reports::printable(state.label));
}

std::string next_text(const StatusShown& shown) {
  if (shown.state.label.empty()) return "";
  const std::string* next = next_step(shown.run.plan, shown.state);
  return next == nullptr ? "; the last step" : "; next: " + reports::printable(*next);
}

std::string input_text(const RunState& state) {
  return state.input_on ? fmt::format("LOAD ON, {:.3f} A asked", state.commanded_a) : "load off";
}

std::vector<std::string> reading_texts(const StatusShown& shown) {
  std::vector<std::string> texts;
  if (const auto& newest = shown.newest) {
    texts.push_back(fmt::format("{:.3f} V", newest->voltage_v));
    texts.push_back(fmt::format("{:.3f} A", newest->current_a));
    if (newest->temperature_c) texts.push_back(fmt::format("{:.1f} °C", *newest->temperature_c));
  }
  if (const auto& standing = shown.state.standing)
    texts.push_back(fmt::format("{:.3f} of {:g} Ah out", standing->charge_removed_ah,
                                shown.run.pack.rated_capacity_ah));
  return texts;
}

std::string left_text(const std::optional<TimeLeft>& left) {
  if (!left) return "not foreseen";
  if (left->doubt_s < 1.0) return duration_text(left->seconds) + " left";
  return fmt::format("{} ± {} left", rough_duration_text(left->seconds),
                     rough_duration_text(left->doubt_s));
}

std::string both_left_text(const RunState& state) {
  if (state.label.empty()) return "";
  return fmt::format("this step {}; whole run {}", left_text(state.step_left),
                     left_text(state.run_left));
}

std::string nearest_text(const StatusShown& shown) {
  const auto& standing = shown.state.standing;
  if (!standing || standing->limits.empty()) return "";
  const LimitRoom& nearest = standing->limits.front();
  return fmt::format("nearest limit: {}, {:.4g} {}; now {:.4g}, {:.0f} % of the way left",
                     check_of(nearest.check).title, nearest.limit, nearest.unit, nearest.value,
                     std::floor(100.0 * nearest.room));
}

std::string trend_text(const VoltageTrend& trend, VoltageTrend::Style style) {
  const auto range = trend.range();
  if (!range) return "";
  return fmt::format("least voltage {}  {:.2f} to {:.2f} V in {}", trend.picture(style),
                     range->least_v, range->most_v, duration_text(trend.span_s()));
}

}  // namespace

std::vector<std::string> status_panel(const StatusShown& shown, const VoltageTrend& trend,
                                      VoltageTrend::Style style) {
  std::vector<std::string> readings = reading_texts(shown);
  readings.insert(readings.begin(), input_text(shown.state));
  return {step_text(shown) + next_text(shown), fmt::format("{}", fmt::join(readings, "   ")),
          both_left_text(shown.state), nearest_text(shown), trend_text(trend, style)};
}

std::string status_line(const StatusShown& shown) {
  std::vector<std::string> parts = {step_text(shown), input_text(shown.state)};
  for (std::string& reading : reading_texts(shown)) parts.push_back(std::move(reading));
  for (const std::string& text : {both_left_text(shown.state), nearest_text(shown)})
    if (!text.empty()) parts.push_back(text);
  return fmt::format("{}: {}", elapsed_text(shown.state.time_s), fmt::join(parts, " | "));
}

}  // namespace sagbench::bench
