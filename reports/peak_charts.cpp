// Held peaks: sag against current, and the voltage while one is held and after.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "reports/number_text.hpp"
#include "reports/peak_decay.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

using analysis::Peak;
using Group = std::vector<Peak>;

// Peaks taken at one asked state of charge, in the run's order. They differ by what the peaks
// before them removed.
std::vector<Group> groups_of(const std::vector<Peak>& peaks) {
  constexpr double kSameCharge = 0.04;
  std::vector<Group> groups;
  for (const Peak& peak : peaks) {
    const bool same =
        !groups.empty() && std::abs(groups.back().front().charge - peak.charge) < kSameCharge;
    if (!same) groups.emplace_back();
    groups.back().push_back(peak);
  }
  return groups;
}

std::string charge_words(const Group& group) {
  return percent_text(group.front().charge) + " charge";
}

Curve sag_curve(Group group, std::size_t number) {
  Curve curve{charge_words(group), {}, series_look(number), true, true};
  std::ranges::sort(group, {}, &Peak::current_a);
  for (const Peak& peak : group)
    curve.points.push_back({peak.current_a, peak.rest_v - peak.lowest_v});
  return curve;
}

/// Of the largest current of the group.
Curve decay_curve(const analysis::Recording& recording, const Group& group, std::size_t number) {
  const Peak& peak = *std::ranges::max_element(group, {}, &Peak::current_a);
  Curve curve{quantity_text(peak.current_a, "A") + " at " + charge_words(group),
              peak_decay(recording, peak), series_look(number)};
  curve.end_marker = true;
  return curve;
}

}  // namespace

std::optional<NamedChart> sag_chart(const ReportInput& input) {
  if (input.figures.peaks.empty()) return std::nullopt;
  Panel panel{"Sag below the rest voltage (V)", {}, {}, 1.0, true};
  for (const Group& group : groups_of(input.figures.peaks))
    panel.curves.push_back(sag_curve(group, panel.curves.size()));
  Chart chart;
  chart.title = "Sag under held peaks";
  chart.x_title = "Current (A)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = {std::move(panel)};
  return NamedChart{"sag-under-peaks", std::move(chart)};
}

std::optional<NamedChart> decay_chart(const ReportInput& input) {
  Panel panel{"Voltage above or below the rest before (V)", {}, {}};
  double held_s = 0.0;
  for (const Group& group : groups_of(input.figures.peaks)) {
    Curve curve = decay_curve(input.recording, group, panel.curves.size());
    if (curve.points.size() < 2) continue;
    held_s = std::max(held_s, std::ranges::max_element(group, {}, &Peak::held_s)->held_s);
    panel.curves.push_back(std::move(curve));
  }
  if (panel.curves.empty()) return std::nullopt;
  Chart chart;
  chart.title = "The largest peak at each charge: voltage while held, and its recovery";
  chart.x_title = "Time since the edge of current (s)";
  chart.x_room = true;
  chart.bands = {{0.0, held_s, "held", "", true}};
  chart.panels = {std::move(panel)};
  return NamedChart{"peak-decay", std::move(chart)};
}

}  // namespace sagbench::reports
