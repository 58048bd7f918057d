#include "reports/charge_series.hpp"

#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>

#include "analysis/charge_state.hpp"

namespace sagbench::reports {
namespace {

void add(CellCurves& curves, double removed_ah, const std::vector<double>& cell_v) {
  const double mean_v =
      std::reduce(cell_v.begin(), cell_v.end()) / static_cast<double>(cell_v.size());
  for (std::size_t cell = 0; cell < cell_v.size(); ++cell) {
    curves.voltage_v[cell].push_back({removed_ah, cell_v[cell]});
    curves.off_mean_v[cell].push_back({removed_ah, cell_v[cell] - mean_v});
  }
}

}  // namespace

std::vector<Point> energy_curve(std::span<const Point> discharge) {
  std::vector<Point> energy;
  energy.reserve(discharge.size());
  double energy_wh = 0.0, before_ah = 0.0, before_v = 0.0;
  for (const Point& point : discharge) {
    const bool gap = !std::isfinite(point.y);
    if (!energy.empty()) {
      const double mean_v = gap ? before_v : (before_v + point.y) / 2;
      energy_wh += mean_v * (point.x - before_ah);
    }
    energy.push_back({point.x, gap ? std::numeric_limits<double>::quiet_NaN() : energy_wh});
    before_ah = point.x;
    if (!gap) before_v = point.y;
  }
  return energy;
}

CellCurves cell_curves(const analysis::Recording& recording, const analysis::Figures& figures) {
  if (!figures.capacity) return {};
  CellCurves curves;
  const analysis::ChargeState charge(recording, figures.capacity->charge_ah.value);
  for (std::size_t i = 0; i < recording.samples.size(); ++i) {
    const analysis::Sample& sample = recording.samples[i];
    const bool discharging = sample.step == figures.capacity->step && sample.commanded_a > 0.0;
    if (!discharging || sample.cell_v.size() < 2) continue;
    if (curves.voltage_v.empty()) {
      curves.voltage_v.resize(sample.cell_v.size());
      curves.off_mean_v.resize(sample.cell_v.size());
    }
    if (sample.cell_v.size() != curves.voltage_v.size()) continue;  // a tap fell silent
    add(curves, charge.removed_ah(i), sample.cell_v);
  }
  return curves;
}

}  // namespace sagbench::reports
