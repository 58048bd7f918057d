#include <fmt/format.h>

#include <cstddef>
#include <string>
#include <utility>

#include "reports/charge_series.hpp"
#include "reports/number_text.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

constexpr double kMilli = 1000.0;
constexpr std::size_t kMostNames = 8;  // more curves are told apart by nobody
constexpr SeriesLook kOneOfMany{{kGrey, 0.5}, Marker::none};
constexpr SeriesLook kWeakest{{kVermilion, 1.2, {5, 2}}, Marker::diamond};

/// Cells in a crowd look alike, but for the weakest.
Curve cell_curve(std::vector<Point> points, std::size_t cell, std::size_t cells, bool weakest) {
  const bool crowd = cells > kMostNames;
  const SeriesLook look = !crowd ? series_look(cell) : weakest ? kWeakest : kOneOfMany;
  std::string name = fmt::format("cell {}{}", cell + 1, weakest ? ", lowest with 90 % done" : "");
  if (crowd && !weakest) name = cell == 0 ? "the other cells" : "";
  Curve curve{std::move(name), std::move(points), look};
  curve.end_marker = true;
  return curve;
}

Curve unnamed(Curve curve) {
  curve.name.clear();
  return curve;
}

std::vector<Point> in_milli(std::vector<Point> points) {
  for (Point& point : points) point.y *= kMilli;
  return points;
}

std::string title_of(const analysis::Figures& figures) {
  std::string title = "The cells in the capacity discharge";
  if (figures.cell_spread_v)
    title +=
        ": " + quantity_text(kMilli * *figures.cell_spread_v, "mV") + " apart with 90 % of it done";
  return title;
}

}  // namespace

std::optional<NamedChart> cells_chart(const ReportInput& input) {
  CellCurves curves = cell_curves(input.recording, input.figures);
  const std::size_t cells = curves.voltage_v.size();
  if (cells < 2) return std::nullopt;
  const double end_v = analysis::cell_end_of_discharge_v(input.recording.pack);
  Panel voltage{"Cell voltage (V)",
                {},
                {{"a cell's end of discharge, " + quantity_text(end_v, "V", 4), end_v}}};
  Panel spread{"From the mean of all cells (mV)", {}, {}};
  for (std::size_t cell = 0; cell < cells; ++cell) {
    const bool weakest = input.figures.weakest_cell == static_cast<int>(cell) + 1;
    voltage.curves.push_back(cell_curve(std::move(curves.voltage_v[cell]), cell, cells, weakest));
    spread.curves.push_back(
        unnamed(cell_curve(in_milli(std::move(curves.off_mean_v[cell])), cell, cells, weakest)));
  }
  Chart chart;
  chart.title = title_of(input.figures);
  chart.x_title = "Charge removed since full (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels.push_back(std::move(voltage));
  chart.panels.push_back(std::move(spread));
  return NamedChart{"cell-spread", std::move(chart)};
}

}  // namespace sagbench::reports
