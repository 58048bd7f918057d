// State of charge told from whole simulated runs, against what the pack really held.

#include <cmath>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"
#include "catch.hpp"
#include "drivers/random.hpp"
#include "everyday_pack.hpp"

namespace sagbench::tests {
namespace {

using analysis::Chemistry;
using analysis::Phase;
using analysis::StepKind;
using namespace drivers::virtual_bench;

/// Plays steps on a pack and records them as a run would, with 0.1 mV of noise.
class Run {
 public:
  Run(Chemistry chemistry, std::uint64_t seed)
      : pack_(world_of(chemistry), seed), meter_(seed, 41) {
    recording_.pack = world_of(chemistry).pack;
    recording_.accuracy.meter_voltage = analysis::AccuracyTerm{};
    recording_.complete = true;
  }

  Run& step(StepKind kind) {
    analysis::Step& step = recording_.steps.emplace_back();
    step.kind = kind;
    step.start_s = now_s_;
    step.charge_before_ah = pack_.truth().charge_removed_ah;
    step.end = kind == StepKind::capacity ? analysis::StepEnd::end_of_discharge
                                          : analysis::StepEnd::completed;
    return *this;
  }
  Run& hold(Phase phase, double current_a, double seconds, double every_s) {
    const double until_s = now_s_ + seconds;
    since_s_ = now_s_;
    pack_.connect({.current_a = current_a});
    while (now_s_ < until_s) read(phase, current_a, every_s);
    return *this;
  }
  Run& discharge_to_end() {
    since_s_ = now_s_;
    pack_.connect({.current_a = 0.2 * kRated_ah});
    do read(Phase::discharge, 0.2 * kRated_ah, 5.0);
    while (recording_.samples.back().voltage_v > end_of_discharge_voltage_v(recording_.pack));
    pack_.connect({});
    return *this;
  }
  Run& recharge() {
    step(StepKind::recharge);
    pack_.recharge();
    return hold(Phase::rest, 0.0, 60.0, 10.0);
  }
  double removed_ah() const { return pack_.truth().charge_removed_ah; }
  const analysis::Recording& recording() const { return recording_; }

 private:
  void read(Phase phase, double current_a, double every_s) {
    now_s_ += every_s;
    pack_.advance(drivers::from_seconds(now_s_));
    analysis::Sample& sample = recording_.samples.emplace_back();
    sample.time_s = now_s_;
    sample.voltage_v = pack_.sense_v() + 1e-4 * meter_.normal();
    sample.current_a = sample.commanded_a = current_a;
    sample.commanded_since_s = since_s_;
    sample.phase = phase;
    sample.step = static_cast<std::int32_t>(recording_.steps.size()) - 1;
    recording_.steps.back().end_s = now_s_;
  }

  VirtualPack pack_;
  drivers::Random meter_;
  analysis::Recording recording_;
  double now_s_ = 0.0, since_s_ = 0.0;
};

struct Told {
  analysis::ChargeEstimate end;
  double truth = 0.0;
};

/// A capacity discharge, a recharge, a discharge at 0.5 It to somewhere, ten minutes of rest.
Told told(Chemistry chemistry, std::uint64_t seed) {
  drivers::Random random(seed, 42);
  Run run(chemistry, seed);
  run.step(StepKind::rest).hold(Phase::rest, 0.0, 120.0, 2.0);
  run.step(StepKind::capacity).discharge_to_end();
  const double full_ah = run.removed_ah();
  run.recharge();
  const double charge = random.uniform(0.1, 0.9);
  run.step(StepKind::peak_current)
      .hold(Phase::discharge, 0.5 * kRated_ah, 7200.0 * (1.0 - charge), 5.0)
      .hold(Phase::rest, 0.0, 600.0, 2.0);
  analysis::Figures figures = analysis::analyse(run.recording());
  analysis::add_charge_circuit(run.recording(), figures);
  REQUIRE(figures.state_of_charge);
  return {figures.state_of_charge->at_end, 1.0 - run.removed_ah() / full_ah};
}

bool holds(const analysis::ChargeInterval& interval, double truth) {
  constexpr double kGrid = 0.001;
  return interval.low - kGrid <= truth && truth <= interval.high + kGrid;
}

}  // namespace

TEST_CASE("simulated packs: the intervals of the charge hold what is left") {
  int by_curve = 0, fused = 0, all = 0;
  double wide = 0.0;
  for (const auto chemistry : {Chemistry::lfp, Chemistry::nmc, Chemistry::nimh})
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
      const Told found = told(chemistry, seed);
      CAPTURE(limits_of(chemistry).name, seed);
      REQUIRE(found.end.by_counting);
      if (!found.end.by_curve) continue;
      ++all;
      if (holds(*found.end.by_curve, found.truth)) ++by_curve;
      if (found.end.fused && holds(*found.end.fused, found.truth)) ++fused;
      wide += found.end.by_curve->high - found.end.by_curve->low;
    }
  CAPTURE(by_curve, fused, all, wide / all);
  CHECK(all >= 24);
  CHECK(by_curve * 10 >= all * 9);
  CHECK(fused * 10 >= all * 9);
}

}  // namespace sagbench::tests
