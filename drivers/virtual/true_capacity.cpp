#include <algorithm>
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

double true_capacity_ah(const WorldSpec& world, std::uint64_t seed, double current_a, double end_v,
                        std::optional<double> end_cell_v) {
  if (!(current_a > 0.0)) return std::numeric_limits<double>::quiet_NaN();
  VirtualPack pack(world, seed);
  const Time step = step_for(world.pack.rated_capacity_ah, current_a);
  Sink sink;
  sink.current_a = current_a;
  pack.connect(sink);
  double before_v = margin_v(pack, end_v, end_cell_v);
  if (before_v <= 0.0) return 0.0;
  double removed_ah = 0.0;
  const double most_ah = 2.0 * world.pack.rated_capacity_ah;
  for (Time now = step; removed_ah < most_ah; now += step) {
    pack.advance(now);
    const double after_v = margin_v(pack, end_v, end_cell_v);
    const double step_ah = current_a * to_seconds(step) / 3600.0;
    if (pack.board_open()) return removed_ah;  // the pack ends the discharge itself
    if (after_v <= 0.0) return removed_ah + step_ah * before_v / (before_v - after_v);
    removed_ah += step_ah;
    before_v = after_v;
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace sagbench::drivers::virtual_bench
