#include "reports/circuit_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/peak_current.hpp"
#include "reports/chart.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {
namespace {

using analysis::ChargeCircuit;
using analysis::FittedCurve;
using analysis::SustainedPeak;

constexpr double kMilli = 1000.0;
// R0 and three branches come first: no two curves of the picture look alike.
constexpr std::size_t kResistanceLooks = 4;
constexpr const char* kDash = "\xE2\x80\x93";

std::string held_words(double held_s) {
  return quantity_text(held_s, "s");
}

std::vector<double> holds_of(const std::vector<SustainedPeak>& peaks) {
  std::vector<double> holds;
  for (const SustainedPeak& peak : peaks)
    if (std::ranges::find(holds, peak.held_s) == holds.end()) holds.push_back(peak.held_s);
  std::ranges::sort(holds);
  return holds;
}

Panel source_panel(const ReportInput& input, const ChargeCircuit& circuit) {
  Curve curve{"", {}, {{kBlack, 0.9}, Marker::none}};
  for (std::size_t i = 0; i < circuit.source_v.values.size(); ++i)
    curve.points.push_back({circuit.source_v.removed_ah[i], circuit.source_v.values[i].value});
  const double end_v = analysis::end_of_discharge_voltage_v(input.recording.pack);
  return {"Open-circuit voltage (V)",
          {std::move(curve)},
          {{"end-of-discharge voltage " + quantity_text(end_v, "V", 4), end_v}}};
}

/// R0, then with each slower branch added: what a current has met once the branch has settled.
Panel resistance_panel(const ChargeCircuit& circuit) {
  Panel panel{"Resistance (m\xCE\xA9)", {}, {}, 1.0, true};
  const std::size_t knots = circuit.r0_ohm.values.size();
  std::vector<Point> sum;
  for (std::size_t i = 0; i < knots; ++i)
    sum.push_back({circuit.r0_ohm.removed_ah[i], kMilli * circuit.r0_ohm.values[i].value});
  panel.curves.push_back({"R0", sum, series_look(0), true});
  for (const analysis::ChargeBranch& branch : circuit.branches) {
    for (Point& point : sum) point.y += kMilli * branch.ohm.at(point.x);
    panel.curves.push_back({"with the branch of " + quantity_text(branch.tau_s.value, "s", 2), sum,
                            series_look(panel.curves.size()), true});
  }
  return panel;
}

Panel capability_panel(const ReportInput& input, double full_ah) {
  Panel panel{"Largest current (A)", {}, {}, 1.2, true};
  for (const double held_s : holds_of(input.figures.capability)) {
    const SeriesLook look = series_look(kResistanceLooks + panel.curves.size());
    Curve curve{"held " + held_words(held_s), {}, look, true};
    for (const SustainedPeak& peak : input.figures.capability)
      if (peak.held_s == held_s)
        curve.points.push_back({(1.0 - peak.charge) * full_ah, peak.current_a.value});
    std::ranges::sort(curve.points, {}, &Point::x);
    panel.curves.push_back(std::move(curve));
  }
  if (const auto radio = analysis::leading_radio(input.recording))
    panel.limits.push_back({"peak of the radio, " + quantity_text(radio->transmit_peak_a, "A"),
                            radio->transmit_peak_a});
  return panel;
}

Chart circuit_chart(const ReportInput& input, std::vector<Panel> panels) {
  Chart chart;
  chart.title = input.recording.pack.name + ": what the whole record says of it";
  chart.x_title = "Charge removed (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = std::move(panels);
  return chart;
}

void draw_chart_of(Canvas& canvas, const Rect& room, const ReportInput& input) {
  const ChargeCircuit& circuit = *input.figures.charge_circuit;
  std::vector<Panel> panels = {source_panel(input, circuit), resistance_panel(circuit)};
  const double full_ah = analysis::reference_ah(input.recording, input.figures.capacity);
  if (!input.figures.capability.empty()) panels.push_back(capability_panel(input, full_ah));
  draw_chart(canvas, room, circuit_chart(input, std::move(panels)));
}

/// "24.1 ± 0.8 A", or the cap and what sets it.
std::string peak_words(const SustainedPeak& peak) {
  const std::string current = measured_text(peak.current_a, "A");
  if (peak.limited_by == "supply_min" || peak.limited_by == "end of discharge") return current;
  return (peak.limited_by == analysis::kTestedRange ? "at least " + current
                                                    : current + ", " + peak.limited_by);
}

Table capability_table(const std::vector<SustainedPeak>& peaks) {
  const std::vector<double> holds = holds_of(peaks);
  Table table{{{"Charge", 0.6, Align::right}}, {}, kSmall, 2};
  for (const double held_s : holds)
    table.columns.push_back({"held " + held_words(held_s), 1.2, Align::right});
  std::optional<double> charge;
  for (const SustainedPeak& peak : peaks) {
    if (charge != peak.charge) {
      table.rows.emplace_back(table.columns.size(), kDash).front() = percent_text(peak.charge);
      charge = peak.charge;
    }
    const auto at = std::ranges::find(holds, peak.held_s) - holds.begin();
    table.rows.back()[static_cast<std::size_t>(at) + 1] = peak_words(peak);
  }
  return table;
}

std::string capability_words(const analysis::Recording& recording) {
  const auto radio = analysis::leading_radio(recording);
  const std::string floor = radio ? "the supply at the radio (" + radio->name +
                                        ", its cable included) falls to " +
                                        quantity_text(radio->supply_min_v, "V", 4)
                                  : "the pack falls to its end-of-discharge voltage";
  return "Largest current from rest, with \xC2\xB1 expanded uncertainty (k = 2), until " + floor +
         " at the end of the hold. Where pack, fuse, load or the tested range allow less, that "
         "stands instead.";
}

}  // namespace

void draw_circuit_page(PdfDocument& document, const ReportInput& input) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const double top = draw_heading(canvas, {area.x, area.y}, area.width, "The pack as a circuit");
  const auto& peaks = input.figures.capability;
  if (peaks.empty()) {
    draw_chart_of(canvas, {area.x, top, area.width, (area.bottom() - top) * 0.7}, input);
    return;
  }
  const Table table = capability_table(peaks);
  const auto words = wrap(canvas, capability_words(input.recording), kBody, area.width);
  const double below = table_height(canvas, area.width, table) +
                       static_cast<double>(words.size()) * kLeading + 4 * kGrid;
  const Rect chart{area.x, top, area.width, area.bottom() - top - below};
  draw_chart_of(canvas, chart, input);
  const double text = draw_lines(canvas, {area.x, chart.bottom() + 2 * kGrid}, words, kBody);
  draw_table(canvas, {area.x, text + kGrid}, area.width, area.bottom(), table);
}

}  // namespace sagbench::reports
