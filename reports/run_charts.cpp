#include "reports/run_charts.hpp"

#include <utility>

#include "reports/number_text.hpp"

namespace sagbench::reports {

LimitLine end_of_discharge_line(const analysis::Pack& pack) {
  const double end_v = analysis::end_of_discharge_voltage_v(pack);
  return {"end-of-discharge voltage " + quantity_text(end_v, "V", 4), end_v};
}

std::vector<NamedChart> charts_of(const ReportInput& input) {
  std::vector<NamedChart> charts;
  if (const auto minute = air_minute(input.recording))
    charts.push_back(air_minute_chart(*minute, input.figures));
  const auto over = over_pictures(input.recording);
  for (const auto make : {run_chart, discharge_chart, energy_chart, sag_chart, open_circuit_chart,
                          cells_chart, decay_chart})
    if (auto chart = make(input)) charts.push_back(*std::move(chart));
  if (over) {
    charts.push_back(over_chart(*over));
    charts.push_back(moment_chart(*over));
  }
  for (const auto make : {circuit_chart, residuals_chart, capability_chart})
    if (auto chart = make(input)) charts.push_back(*std::move(chart));
  return charts;
}

}  // namespace sagbench::reports
