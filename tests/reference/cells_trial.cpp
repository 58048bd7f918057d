#include "cells_trial.hpp"

#include <algorithm>

#include "analysis/capacity.hpp"
#include "analysis/end_shape.hpp"
#include "drivers/random.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::tests {
namespace {

using namespace drivers::virtual_bench;

constexpr double kRated_ah = 10.0;
constexpr double kEvery_s = 2.0;
constexpr double kNoise_v = 0.0002;
constexpr std::uint64_t kCells = 21;
constexpr std::uint64_t kMeter = 22;

analysis::Pack pack_of(const CellsTrial& trial) {
  analysis::Pack pack;
  pack.chemistry = trial.chemistry;
  pack.series = trial.series;
  pack.rated_capacity_ah = kRated_ah;
  pack.max_discharge_current_a = 3.0 * kRated_ah;
  pack.protection_board = trial.board;
  return pack;
}

/// The everyday spread of the virtual bench, and one cell that holds less.
WorldSpec world_of(const CellsTrial& trial) {
  WorldSpec world;
  world.pack = pack_of(trial);
  drivers::Random random(trial.seed, kCells);
  const double mean = random.uniform(0.97, 1.04);
  for (int i = 0; i < trial.series; ++i)
    world.cells.push_back({mean * random.uniform(1.0 - trial.spread, 1.0 + trial.spread),
                           random.uniform(0.95, 1.05), random.uniform(0.0, 0.005)});
  world.cells[trial.seed % world.cells.size()].capacity_factor *= 1.0 - trial.missing;
  return world;
}

analysis::Sample sample_at(double time_s, double voltage_v, double current_a, double asked_a) {
  analysis::Sample sample;
  sample.time_s = time_s;
  sample.voltage_v = voltage_v;
  sample.current_a = current_a;
  sample.commanded_a = asked_a;
  sample.commanded_since_s = 0.0;
  sample.phase = analysis::Phase::discharge;
  return sample;
}

struct Played {
  analysis::Recording recording;
  double lowest_cell_v = 0.0;
};

Played played(const CellsTrial& trial) {
  VirtualPack pack(world_of(trial), trial.seed);
  drivers::Random meter(trial.seed, kMeter);
  const double asked_a = trial.rate_it * kRated_ah;
  pack.connect({.current_a = asked_a});
  Played found;
  found.recording.pack = pack_of(trial);
  found.recording.accuracy.meter_voltage = analysis::AccuracyTerm{};
  found.recording.complete = true;
  analysis::Step& step = found.recording.steps.emplace_back();
  step.kind = analysis::StepKind::capacity;
  const double end_v = analysis::end_of_discharge_voltage_v(found.recording.pack);
  for (double now_s = kEvery_s;; now_s += kEvery_s) {
    found.lowest_cell_v = pack.lowest_cell_v();
    pack.advance(drivers::from_seconds(now_s));
    const double voltage_v = pack.sense_v() + kNoise_v * meter.normal();
    found.recording.samples.push_back(sample_at(now_s, voltage_v, pack.current_a(), asked_a));
    if (!pack.board_open() && voltage_v > end_v) continue;
    step.end = pack.board_open() ? analysis::StepEnd::protection_board
                                 : analysis::StepEnd::end_of_discharge;
    step.end_s = now_s;
    return found;
  }
}

}  // namespace

CellsOutcome outcome(const CellsTrial& trial) {
  const Played run = played(trial);
  const auto discharge = analysis::reference_discharge(run.recording);
  if (!discharge) {
    const auto& why = discharge.why();
    return {analysis::Finding<analysis::UntappedCells>::missing(why),
            analysis::Finding<double>::missing(why), run.lowest_cell_v};
  }
  const auto shape = analysis::end_shape(*discharge);
  return {analysis::untapped_cells(run.recording, *discharge),
          shape ? analysis::Finding<double>(shape->steepening)
                : analysis::Finding<double>::missing(shape.why()),
          run.lowest_cell_v};
}

}  // namespace sagbench::tests
