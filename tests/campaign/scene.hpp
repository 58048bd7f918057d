#pragma once
// Which pack stands on which bench, and what is asked of it.

#include <cstdint>
#include <string>

#include "bench/run/run_session.hpp"
#include "fault.hpp"

namespace sagbench::campaign {

inline constexpr double kLeads_ohm = 0.004;

struct Scene {
  std::uint64_t seed =
      1;  // of the instruments' errors, the pack's spread and the operator's pattern
  analysis::Chemistry chemistry = analysis::Chemistry::lfp;
  int series = 4;
  int taps = 4;  // 0, or one a cell
  bool meter = true;
  bool thermometer = true;
  bool scan = false;  // the meter reads all channels in one exchange
  bool board = false;
  std::string dialect = "scpi-1999-guarded";
  std::string plan = "whole";  // or one of rest, capacity, peaks, transmit
  double brought = 0.0;        // state of charge; 0: as its chemistry bears it

  bool guarded() const { return dialect.find("guarded") != std::string::npos; }
  friend bool operator==(const Scene&, const Scene&) = default;
};

std::string text_of(const Scene& scene);
/// Throws std::invalid_argument.
Scene scene_from(std::string_view text);

bench::BenchAndPack bench_and_pack(const Scene& scene);
bench::Plan plan_of(const Scene& scene);
/// A plan of another few seconds, for the program's next start.
bench::Plan short_rest();
/// The pack is brought almost empty, so that its discharge takes a minute and not an hour; `faults`
/// may name weak cells.
drivers::virtual_bench::WorldSpec world_of(const Scene& scene, const std::vector<Fault>& faults);

double capacity_current_a(const Scene& scene);

}  // namespace sagbench::campaign
