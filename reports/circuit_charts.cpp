// The circuit over charge, and what it leaves of the record.
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include "analysis/charge_state.hpp"
#include "analysis/circuit_residuals.hpp"
#include "reports/number_text.hpp"
#include "reports/run_charts.hpp"
#include "reports/step_bands.hpp"
#include "reports/thinning.hpp"

namespace sagbench::reports {
namespace {

using analysis::ChargeCircuit;

constexpr double kMilli = 1000.0;

Panel source_panel(const ReportInput& input, const ChargeCircuit& circuit) {
  Curve curve{"", {}, {{kBlack, 0.9}, Marker::none}};
  for (std::size_t i = 0; i < circuit.source_v.values.size(); ++i)
    curve.points.push_back({circuit.source_v.removed_ah[i], circuit.source_v.values[i].value});
  return {"Open-circuit voltage of the circuit (V)",
          {std::move(curve)},
          {end_of_discharge_line(input.recording.pack)}};
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

/// Over time in `unit`; trains of the record are apart.
std::vector<Point> residual_curve(const ReportInput& input, const TimeUnit& unit) {
  const double full_ah = analysis::reference_ah(input.recording, input.figures.capacity);
  const analysis::ChargeState charge(input.recording, full_ah);
  PointThinner points(input.recording.samples.size());
  for (const auto& train : analysis::whole_record(input.recording, charge)) {
    double x = 0.0;
    for (const auto& residual : circuit_residuals(*input.figures.charge_circuit, train)) {
      x = residual.time_s / unit.seconds;
      points.add({x, kMilli * residual.voltage_v});
    }
    points.add({x, std::numeric_limits<double>::quiet_NaN()});
  }
  return points.take();
}

}  // namespace

std::optional<NamedChart> circuit_chart(const ReportInput& input) {
  if (!input.figures.charge_circuit) return std::nullopt;
  const ChargeCircuit& circuit = *input.figures.charge_circuit;
  Chart chart;
  chart.title = input.recording.pack.name + ": the circuit fitted to the whole record";
  chart.x_title = "Charge removed since full (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = {source_panel(input, circuit), resistance_panel(circuit)};
  return NamedChart{"circuit", std::move(chart)};
}

std::optional<NamedChart> residuals_chart(const ReportInput& input) {
  const auto& samples = input.recording.samples;
  if (!input.figures.charge_circuit || samples.size() < 2) return std::nullopt;
  const TimeUnit unit = time_unit(samples.back().time_s - samples.front().time_s);
  auto points = residual_curve(input, unit);
  if (points.size() < 2) return std::nullopt;
  const double rms_mv = kMilli * input.figures.charge_circuit->residual_rms_v;
  Panel panel = panel_of("Measured minus circuit (mV)",
                         {"", std::move(points), {{kBlack, 0.5}, Marker::none}});
  panel.limits = {{"r.m.s., " + quantity_text(rms_mv, "mV", 2), rms_mv}, {"", -rms_mv}};
  Chart chart;
  chart.title = "What the circuit leaves";
  chart.x_title = run_time_title(unit);
  chart.bands = step_bands(input.recording, unit);
  chart.panels.push_back(std::move(panel));
  return NamedChart{"circuit-residuals", std::move(chart)};
}

}  // namespace sagbench::reports
