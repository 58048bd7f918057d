// The capability map: a field for each charge and each time a current is held.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

#include "analysis/peak_current.hpp"
#include "reports/number_text.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

using analysis::SustainedPeak;

constexpr Colour kEnough{0.86, 0.93, 0.97};
constexpr Colour kTooLittle{0.45, 0.20, 0.05};
constexpr double kPercent = 100.0;

std::vector<double> holds_of(const std::vector<SustainedPeak>& peaks) {
  std::vector<double> holds;
  for (const SustainedPeak& peak : peaks)
    if (std::ranges::find(holds, peak.held_s) == holds.end()) holds.push_back(peak.held_s);
  std::ranges::sort(holds);
  return holds;
}

/// How far apart the charges stand: fields touch.
double field_width(const std::vector<SustainedPeak>& peaks) {
  double width = kPercent / 5;
  for (const SustainedPeak& peak : peaks)
    for (const SustainedPeak& other : peaks)
      if (other.charge > peak.charge)
        width = std::min(width, kPercent * (other.charge - peak.charge));
  return width;
}

std::string reason_words(const SustainedPeak& peak) {
  if (peak.limited_by == "supply_min") return "radio's lowest supply";
  if (peak.limited_by == analysis::kTestedRange) return "not tested higher";
  return peak.limited_by;
}

Tile tile_of(const SustainedPeak& peak, double row, double width, double needed_a) {
  const double left = std::max(0.0, kPercent * peak.charge - width / 2);
  const std::string least(minimum_sign(peak.limited_by == analysis::kTestedRange));
  return {{left, row, width, 1.0},
          peak.current_a.value >= needed_a ? kEnough : kTooLittle,
          least + measured_text(peak.current_a, "A"),
          reason_words(peak)};
}

}  // namespace

std::optional<NamedChart> capability_chart(const ReportInput& input) {
  const auto& peaks = input.figures.capability;
  if (peaks.empty()) return std::nullopt;
  const std::vector<double> holds = holds_of(peaks);
  const auto radio = analysis::leading_radio(input.recording);
  Panel panel{"Held for", {}, {}};
  for (const SustainedPeak& peak : peaks) {
    const auto row = static_cast<double>(std::ranges::find(holds, peak.held_s) - holds.begin());
    panel.tiles.push_back(
        tile_of(peak, row, field_width(peaks), radio ? radio->transmit_peak_a : 0.0));
  }
  for (std::size_t row = 0; row < holds.size(); ++row)
    panel.y_ticks.push_back({static_cast<double>(row) + 0.5, quantity_text(holds[row], "s")});
  Chart chart;
  chart.title = "Largest current that the pack sustains, by charge and time held";
  chart.x_title = "Charge left (%)";
  chart.panels = {std::move(panel)};
  if (radio) {
    const std::string peak = quantity_text(radio->transmit_peak_a, "A");
    chart.fills = {{"enough for the radio's peak of " + peak, kEnough},
                   {"less than that", kTooLittle}};
  }
  return NamedChart{"capability-map", std::move(chart)};
}

}  // namespace sagbench::reports
