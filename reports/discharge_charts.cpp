// The run as a whole, and its discharge.
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "reports/charge_series.hpp"
#include "reports/number_text.hpp"
#include "reports/run_charts.hpp"
#include "reports/step_bands.hpp"

namespace sagbench::reports {
namespace {

const SeriesLook kVoltageLook{{kBlack, 0.8}, Marker::none};
const SeriesLook kCurrentLook{{kBlue, 0.8}, Marker::none};
const SeriesLook kTemperatureLook{{kGreen, 0.9}, Marker::none};
constexpr const char* kCelsius =
    "\xC2\xB0"
    "C";

double highest(const std::vector<Point>& points) {
  double high = -std::numeric_limits<double>::infinity();
  for (const Point& point : points)
    if (point.y > high) high = point.y;
  return high;
}

/// A limit far from all readings would press them into a line: then the title tells it.
void add_limit(Panel& panel, const std::string& name, const std::string& value, double limit,
               double nearness) {
  if (highest(panel.curves.front().points) >= limit - nearness)
    panel.limits.push_back({name + " " + value, limit, {kVermilion, 1.0, {1, 2}}});
  else
    panel.y_title += "; " + name + " " + value;
}

Panel current_panel(const analysis::Recording& recording, const TimeUnit& unit) {
  Panel panel = panel_of("Current (A), discharge positive",
                         {"", current_over_time(recording, unit), kCurrentLook});
  panel.from_zero = true;
  const double limit_a = recording.current_limit_a;
  constexpr double kNear = 0.3;  // of the limit
  if (limit_a > 0.0)
    add_limit(panel, "limit of pack, fuse and load", quantity_text(limit_a, "A"), limit_a,
              kNear * limit_a);
  return panel;
}

Panel temperature_panel(std::vector<Point> temperature, const analysis::Pack& pack) {
  Panel panel = panel_of(std::string("Temperature (") + kCelsius + ")",
                         {"", std::move(temperature), kTemperatureLook});
  panel.share = 0.7;
  const double limit_c = analysis::max_temperature_c(pack);
  constexpr double kNear_c = 10.0;
  add_limit(panel, "limit", quantity_text(limit_c, kCelsius), limit_c, kNear_c);
  return panel;
}

Panel voltage_panel(const analysis::Recording& recording, std::vector<Point> voltage) {
  Panel panel = panel_of("Pack voltage (V)", {"", std::move(voltage), kVoltageLook});
  panel.limits = {end_of_discharge_line(recording.pack)};
  return panel;
}

Chart charge_chart(std::string title, Panel panel) {
  Chart chart;
  chart.title = std::move(title);
  chart.x_title = "Charge removed (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels.push_back(std::move(panel));
  return chart;
}

}  // namespace

std::optional<NamedChart> run_chart(const ReportInput& input) {
  const auto& recording = input.recording;
  if (recording.samples.size() < 2) return std::nullopt;
  const TimeUnit unit =
      time_unit(recording.samples.back().time_s - recording.samples.front().time_s);
  Chart chart;
  chart.title = "The whole run: voltage and current";
  chart.x_title = run_time_title(unit);
  chart.bands = step_bands(recording, unit);
  chart.panels.push_back(voltage_panel(recording, voltage_over_time(recording, unit)));
  chart.panels.back().share = 1.5;
  chart.panels.push_back(current_panel(recording, unit));
  auto temperature = temperature_over_time(recording, unit);
  if (std::isfinite(highest(temperature))) {
    chart.title = "The whole run: voltage, current and temperature";
    chart.panels.push_back(temperature_panel(std::move(temperature), recording.pack));
  }
  return NamedChart{"voltage-current-temperature", std::move(chart)};
}

std::optional<NamedChart> discharge_chart(const ReportInput& input) {
  auto curve = discharge_curve(input.recording, input.figures);
  if (curve.size() < 2) return std::nullopt;
  return NamedChart{"voltage-against-charge",
                    charge_chart("Discharge: voltage against charge removed",
                                 voltage_panel(input.recording, std::move(curve)))};
}

std::optional<NamedChart> energy_chart(const ReportInput& input) {
  auto curve = energy_curve(discharge_curve(input.recording, input.figures));
  if (curve.size() < 2) return std::nullopt;
  const auto& pack = input.recording.pack;
  const double label_wh = pack.rated_capacity_ah * analysis::nominal_voltage_v(pack);
  Panel panel = panel_of("Energy (Wh)", {"", std::move(curve), kVoltageLook});
  panel.from_zero = true;
  panel.limits.push_back(
      {"label: rated capacity at nominal voltage, " + quantity_text(label_wh, "Wh"),
       label_wh,
       {kGrey, 0.8, {1, 2}}});
  return NamedChart{"energy",
                    charge_chart("Discharge: energy against charge removed", std::move(panel))};
}

}  // namespace sagbench::reports
