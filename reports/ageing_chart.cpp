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
  const auto keep_first = [&](std::string& name) {
    if (std::ranges::find(named, name) != named.end()) name.clear();
    if (!name.empty()) named.push_back(name);
  };
  for (Panel& panel : chart.panels) {
    for (Curve& curve : panel.curves) keep_first(curve.name);
    for (LimitLine& limit : panel.limits) keep_first(limit.name);
  }
}

double cap_of(double span) {
  constexpr double kShare = 0.006;
  return kShare * std::max(span, 1e-3);
}

/// The axis of time, up to this day.
Across over_time(const AgeingHistory& history, double until) {
  return {kMonth, "Months since the first test (" + history.date_of(0.0) + ")",
          cap_of(until / kMonth)};
}

/// Only a significant trend is carried on.
bool is_carried_on(const AgeingHistory& history) {
  const auto& trend = history.capacity().by_day;
  return trend && trend->significant() && history.worn.told_until;
}

Chart chart_over(const Across& across, std::string title) {
  Chart chart;
  chart.title = std::move(title);
  chart.x_title = across.title;
  chart.x_room = true;
  return chart;
}

bool has_span(const AgeingSeries& series) {
  return !series.tests.empty() && series.over_days.front().x < series.over_days.back().x;
}

void add_if_any(std::vector<NamedChart>& charts, std::string name, Chart chart, bool any) {
  if (!any) return;
  name_once(chart);
  charts.push_back({std::move(name), std::move(chart)});
}

void add_over_time(std::vector<NamedChart>& charts, const AgeingHistory& history) {
  double until = history.tests.back().day;
  const bool carried_on = is_carried_on(history);
  if (carried_on) until = std::max(until, *history.worn.told_until);
  const Across across = over_time(history, until);
  Chart chart = chart_over(across, "Over time");
  // A single moment needs no axis of time.
  bool any = false;
  for (const AgeingSeries& series : history.series) {
    if (series.tests.empty()) continue;
    any = any || has_span(series);
    const bool is_capacity = &series == &history.capacity();
    const double to = is_capacity && carried_on ? until : series.over_days.back().x;
    chart.panels.push_back(panel_of(series, series.over_days, series.by_day, to, across));
    if (is_capacity) chart.panels.back().limits.push_back({"80 % of rated", history.worn.level_ah});
  }
  add_if_any(charts, "over-time", std::move(chart), any);
}

void add_endurance(std::vector<NamedChart>& charts, const AgeingHistory& history) {
  // No page has room for more panels.
  constexpr std::size_t kMostPanels = 4;
  const Across across = over_time(history, history.tests.back().day);
  int number = 0;
  for (auto it = history.operations.begin(); it != history.operations.end();) {
    Chart chart = chart_over(across, "Hours on the air, over time");
    for (; it != history.operations.end() && chart.panels.size() < kMostPanels; ++it) {
      const AgeingSeries& hours = it->hours;
      if (!has_span(hours)) continue;
      chart.panels.push_back(
          panel_of(hours, hours.over_days, hours.by_day, hours.over_days.back().x, across));
      chart.panels.back().limits.push_back({"wanted", it->operation.hours});
    }
    const bool any = !chart.panels.empty();
    if (any) ++number;
    add_if_any(charts, number > 1 ? fmt::format("endurance-{}", number) : "endurance",
               std::move(chart), any);
  }
}

void add_over_use(std::vector<NamedChart>& charts, const AgeingHistory& history) {
  const AgeingSeries& capacity = history.capacity();
  if (capacity.over_use.size() < 2) return;
  const auto [first, last] = std::ranges::minmax(capacity.over_use, {}, &TrendPoint::x);
  if (!(first.x < last.x)) return;
  const Across across{1.0, "Full discharges in runs of this archive before the test",
                      cap_of(last.x - first.x)};
  Chart chart = chart_over(across, "Over use");
  chart.panels = {panel_of(capacity, capacity.over_use, capacity.by_use, last.x, across)};
  add_if_any(charts, "over-use", std::move(chart), true);
}

}  // namespace

std::vector<NamedChart> ageing_charts(const AgeingHistory& history) {
  std::vector<NamedChart> charts;
  add_over_time(charts, history);
  add_endurance(charts, history);
  add_over_use(charts, history);
  return charts;
}

}  // namespace sagbench::reports
