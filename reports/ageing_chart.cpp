#include "reports/ageing_chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

namespace sagbench::reports {
namespace {

using analysis::Trend;
using analysis::TrendPoint;

constexpr double kPenUp = std::numeric_limits<double>::quiet_NaN();
constexpr double kMonth = 365.25 / 12;  // in days

/// The horizontal axis: what one of its units is in the trend's, its title, and how far a bar's cap
/// reaches to either side.
struct Across {
  double unit = 1.0;
  std::string title;
  double cap = 0.0;
};

Curve points_of(const std::vector<TrendPoint>& points, const Across& across) {
  Curve curve{"measured", {}, {{kBlack, 1.0}, Marker::disc}};
  curve.joined = false;
  curve.markers = true;
  for (const TrendPoint& point : points)
    curve.points.push_back({point.x / across.unit, point.y.value});
  return curve;
}

/// All bars in one curve, the pen lifted between them.
Curve bars_of(const std::vector<TrendPoint>& points, const Across& across) {
  Curve curve{"", {}, {{kBlack, 0.7}}};
  for (const TrendPoint& point : points) {
    const double x = point.x / across.unit;
    const double low = point.y.value - point.y.expanded_uncertainty;
    const double high = point.y.value + point.y.expanded_uncertainty;
    for (const double end : {low, high}) {
      curve.points.push_back({x - across.cap, end});
      curve.points.push_back({x + across.cap, end});
      curve.points.push_back({x, kPenUp});
    }
    curve.points.push_back({x, low});
    curve.points.push_back({x, high});
    curve.points.push_back({x, kPenUp});
  }
  return curve;
}

/// The trend from `from` to `to`, `side` expanded uncertainties above it.
Curve line_of(const Trend& trend, double from, double to, double side, const Across& across) {
  constexpr int kPieces = 40;
  Curve curve;
  for (int i = 0; i <= kPieces; ++i) {
    const double x = from + (to - from) * i / kPieces;
    const analysis::Measured at = trend.at(x);
    curve.points.push_back({x / across.unit, at.value + side * at.expanded_uncertainty});
  }
  return curve;
}

void add_trend(Panel& panel, const Trend& trend, double to, const Across& across) {
  Curve line = line_of(trend, trend.first_x, to, 0.0, across);
  line.name = trend.significant() ? "trend" : "trend (not significant)";
  line.look = {{kBlue, 1.2}, Marker::none};
  panel.curves.push_back(std::move(line));
  for (const double side : {-1.0, 1.0}) {
    Curve edge = line_of(trend, trend.first_x, to, side, across);
    edge.name = side < 0 ? "within its expanded uncertainty" : "";
    edge.look = {{kBlue, 0.6, {3, 2}}, Marker::none};
    panel.curves.push_back(std::move(edge));
  }
}

Panel panel_of(const AgeingSeries& series, const std::vector<TrendPoint>& points,
               const analysis::Finding<Trend>& trend, double to, const Across& across) {
  Panel panel{fmt::format("{} ({})", series.name, series.unit), {}, {}};
  if (trend) add_trend(panel, *trend, to, across);
  panel.curves.push_back(bars_of(points, across));
  panel.curves.push_back(points_of(points, across));
  return panel;
}

/// A legend names each thing once, not once a panel.
void name_once(Chart& chart) {
  std::vector<std::string> named;
  for (Panel& panel : chart.panels) {
    for (Curve& curve : panel.curves) {
      if (std::ranges::find(named, curve.name) != named.end()) curve.name.clear();
      if (!curve.name.empty()) named.push_back(curve.name);
    }
  }
}

double cap_of(double span) {
  constexpr double kShare = 0.006;
  return kShare * std::max(span, 1e-3);
}

}  // namespace

std::optional<Chart> ageing_chart(const AgeingHistory& history) {
  // Only a significant trend is carried on.
  double until = history.tests.back().day;
  const auto& trend = history.capacity().by_day;
  const bool carried_on = trend && trend->significant() && history.worn.told_until;
  if (carried_on) until = std::max(until, *history.worn.told_until);
  const Across across{kMonth, "Months since the first test (" + history.date_of(0.0) + ")",
                      cap_of(until / kMonth)};
  Chart chart;
  chart.x_title = across.title;
  chart.x_room = true;
  double longest = 0.0;
  for (const AgeingSeries& series : history.series) {
    if (series.tests.empty()) continue;
    const bool is_capacity = &series == &history.capacity();
    longest = std::max(longest, series.over_days.back().x - series.over_days.front().x);
    const double to = is_capacity && carried_on ? until : series.over_days.back().x;
    chart.panels.push_back(panel_of(series, series.over_days, series.by_day, to, across));
    if (is_capacity) chart.panels.back().limits.push_back({"80 % of rated", history.worn.level_ah});
  }
  // A single moment needs no axis of time.
  if (chart.panels.empty() || !(longest > 0.0)) return std::nullopt;
  name_once(chart);
  return chart;
}

std::optional<Chart> use_chart(const AgeingHistory& history) {
  const AgeingSeries& capacity = history.capacity();
  if (capacity.over_use.size() < 2) return std::nullopt;
  const auto [first, last] = std::ranges::minmax(capacity.over_use, {}, &TrendPoint::x);
  if (!(first.x < last.x)) return std::nullopt;
  const Across across{1.0, "Full discharges in runs of this archive before the test",
                      cap_of(last.x - first.x)};
  Chart chart;
  chart.x_title = across.title;
  chart.x_room = true;
  chart.panels = {panel_of(capacity, capacity.over_use, capacity.by_use, last.x, across)};
  name_once(chart);
  return chart;
}

}  // namespace sagbench::reports
