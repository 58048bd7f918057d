#include <string>
#include <utility>

#include "reports/number_text.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

using analysis::Approach;
using analysis::OpenCircuitCurve;

Curve edge_of(const OpenCircuitCurve& curve, double sign) {
  Curve edge{"", {}, {{kGrey, 0.6, {2, 2}}, Marker::none}};
  for (const auto& point : curve.points)
    edge.points.push_back(
        {point.removed_ah, point.voltage_v.value + sign * point.voltage_v.expanded_uncertainty});
  return edge;
}

Curve rests_of(const OpenCircuitCurve& curve, Approach approach, std::string name, Marker marker) {
  Curve rests{std::move(name), {}, {{kBlue, 0.8}, marker}, true, false};
  for (const auto& rest : curve.rests)
    if (rest.approach == approach) rests.points.push_back({rest.removed_ah, rest.voltage_v.value});
  return rests;
}

Panel voltage_panel(const OpenCircuitCurve& curve, const analysis::Pack& pack) {
  Curve middle{"open-circuit voltage", {}, {{kBlack, 1.0}, Marker::none}};
  for (const auto& point : curve.points)
    middle.points.push_back({point.removed_ah, point.voltage_v.value});
  Curve low = edge_of(curve, -1.0);
  low.name = "expanded uncertainty (k = 2)";
  Panel panel{"Open-circuit voltage (V)", {middle, low, edge_of(curve, 1.0)}, {}};
  for (auto rests :
       {rests_of(curve, Approach::discharging, "rests after discharging", Marker::disc),
        rests_of(curve, Approach::charging, "rests after charging", Marker::triangle)})
    if (!rests.points.empty()) panel.curves.push_back(std::move(rests));
  panel.limits = {end_of_discharge_line(pack)};
  return panel;
}

std::string source_words(const OpenCircuitCurve& curve) {
  if (!curve.slow) return "from rests";
  return (curve.rests.empty() ? "from a discharge at " : "from rests and a discharge at ") +
         quantity_text(curve.slow->rate_it, "It", 2) + ", its sag added";
}

}  // namespace

std::optional<NamedChart> open_circuit_chart(const ReportInput& input) {
  if (!input.figures.open_circuit) return std::nullopt;
  const OpenCircuitCurve& curve = *input.figures.open_circuit;
  Chart chart;
  chart.title = "Open-circuit voltage against charge removed, " + source_words(curve);
  chart.x_title = "Charge removed since full (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = {voltage_panel(curve, input.recording.pack)};
  return NamedChart{"open-circuit-curve", std::move(chart)};
}

}  // namespace sagbench::reports
