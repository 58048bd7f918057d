#include <algorithm>
#include <cmath>
#include <limits>

#include "drivers/virtual/virtual_bench.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

// Volts left above the end condition that comes first; 0 or less: the discharge has ended.
double margin_v(const VirtualPack& pack, double end_v, const std::optional<double>& end_cell_v) {
  const double pack_margin = pack.sense_v() - end_v;
  return end_cell_v ? std::min(pack_margin, pack.lowest_cell_v() - *end_cell_v) : pack_margin;
}

// Short runs of small packs need as many steps as long ones.
Time step_for(double rated_ah, double current_a) {
  constexpr double kStepsPerRun = 20000.0;
  return from_seconds(std::clamp(rated_ah / current_a * 3600.0 / kStepsPerRun, 0.0005, 1.0));
}

}  // namespace

TrueDischarge true_discharge(const WorldSpec& world, std::uint64_t seed, double current_a,
                             double end_v, std::optional<double> end_cell_v) {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  if (!(current_a > 0.0)) return {kNone, kNone};
  VirtualPack pack(world, seed);
  const Time step = step_for(world.pack.rated_capacity_ah, current_a);
  Sink sink;
  sink.current_a = current_a;
  pack.connect(sink);
  double before_v = margin_v(pack, end_v, end_cell_v);
  TrueDischarge removed;
  if (before_v <= 0.0) return removed;
  const double step_ah = current_a * to_seconds(step) / 3600.0;
  const double most_ah = 2.0 * world.pack.rated_capacity_ah;
  double pack_v = pack.sense_v();
  for (Time now = step; removed.charge_ah < most_ah; now += step) {
    pack.advance(now);
    if (pack.board_open()) return removed;  // the pack ends the discharge itself
    const double after_v = margin_v(pack, end_v, end_cell_v);
    const double share = after_v <= 0.0 ? before_v / (before_v - after_v) : 1.0;
    const double end_pack_v = std::lerp(pack_v, pack.sense_v(), share);
    removed.charge_ah += share * step_ah;
    removed.energy_wh += share * step_ah * 0.5 * (pack_v + end_pack_v);
    if (after_v <= 0.0) return removed;
    before_v = after_v;
    pack_v = end_pack_v;
  }
  return {kNone, kNone};
}

double true_capacity_ah(const WorldSpec& world, std::uint64_t seed, double current_a, double end_v,
                        std::optional<double> end_cell_v) {
  return true_discharge(world, seed, current_a, end_v, end_cell_v).charge_ah;
}

}  // namespace sagbench::drivers::virtual_bench
