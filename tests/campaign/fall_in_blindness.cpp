#include "fall_in_blindness.hpp"

#include <algorithm>

#include "bench/run/instruments.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::campaign {
namespace {

using drivers::Time;
using drivers::virtual_bench::Sink;
using drivers::virtual_bench::VirtualPack;

constexpr Time kStep = std::chrono::milliseconds(100);
constexpr Time kBlind = std::chrono::milliseconds(10300);
constexpr Time kLongest = std::chrono::hours(2);

double lowest_after_v(const Scene& scene, const std::vector<Fault>& faults, double current_a,
                      double end_v) {
  VirtualPack pack(world_of(scene, faults), scene.seed);
  Sink sink;
  sink.current_a = current_a;
  pack.connect(sink);
  Time now(0);
  while (pack.lowest_cell_v() > end_v && now < kLongest && !pack.board_open())
    pack.advance(now += kStep);
  double lowest_v = pack.lowest_cell_v();
  for (const Time until = now + kBlind; now < until;) {
    pack.advance(now += kStep);
    lowest_v = std::min(lowest_v, pack.lowest_cell_v());
  }
  return lowest_v;
}

}  // namespace

double fall_in_blindness_v(const Scene& scene, const std::vector<Fault>& faults) {
  const bench::BenchAndPack on = bench_and_pack(scene);
  double highest_a = 0.0;
  for (const bench::PlanStep& step : plan_of(scene).steps)
    highest_a = std::max(highest_a, bench::highest_current_a(step, on.pack));
  const auto& chemistry = analysis::limits_of(scene.chemistry);
  const double end_v = analysis::cell_end_of_discharge_v(on.pack);
  const double lowest_v = std::min(lowest_after_v(scene, faults, capacity_current_a(scene), end_v),
                                   lowest_after_v(scene, faults, highest_a, end_v));
  const double error_v = bench::accuracy_of(on.bench).load_voltage.half_width(end_v * scene.series);
  return std::max(0.0, chemistry.floor_v - lowest_v) + error_v;
}

}  // namespace sagbench::campaign
