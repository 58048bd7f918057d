// What no figure can be drawn from gives none: a reason, never a number, never a crash.

#include <limits>
#include <string>

#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

void check_nothing_measured(const Recording& recording, const std::string& reason) {
  Figures figures = analyse(recording);
  add_charge_circuit(recording, figures);
  CHECK_FALSE(figures.charge_circuit);
  CHECK_FALSE(figures.open_circuit);
  CHECK_FALSE(figures.open_circuit.why().empty());
  if (figures.state_of_charge) CHECK_FALSE(figures.state_of_charge->at_end.by_curve);
  CHECK_FALSE(figures.untapped_cells);
  CHECK_FALSE(figures.capacity);
  CHECK_FALSE(figures.dc_resistance);
  CHECK_FALSE(figures.resistances.steps);
  CHECK_FALSE(figures.resistances.contact);
  CHECK_FALSE(figures.resistances.cells);
  CHECK_FALSE(figures.resistances.two_point);
  CHECK_FALSE(figures.resistances.steps.why().empty());
  CHECK_FALSE(figures.circuit);
  CHECK(figures.peaks.empty());
  CHECK(figures.peak_current.empty());
  CHECK(mentions(figures.capacity.why(), reason));
  REQUIRE(figures.ratings.size() == 2);
  for (const Rating& rating : figures.ratings) {
    CHECK(rating.verdict == Verdict::not_measured);
    CHECK_FALSE(rating.because.empty());
    CHECK_FALSE(rating.margin_v);
  }
}

RunBuilder sound_run() {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 60.0);
  return run;
}

TEST_CASE("a run without samples or steps has no figures") {
  check_nothing_measured({}, "no samples");
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::interrupted);
  check_nothing_measured(run.recording(), "no samples");
}

TEST_CASE("one sample is no discharge") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).hold(Phase::discharge, 2.0, 1.0, 1.0);
  check_nothing_measured(run.recording(), "one sample");
}

TEST_CASE("a constant voltage reaches no end") {
  RunBuilder run({.full_v = 13.0, .fall_v_per_ah = 0.0, .ohm = 0.0});
  run.step(StepKind::capacity, StepEnd::end_of_discharge).hold(Phase::discharge, 2.0, 600.0, 10.0);
  check_nothing_measured(run.recording(), "do not show");
}

TEST_CASE("readings that are no numbers spoil the run") {
  auto run = sound_run();
  const double nonsense =
      GENERATE(std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
               9.9e37 /* SCPI-99 Vol 1, 7.2.1.4: infinity */, 9.91e37 /* and not a number */);
  auto& sample = run.recording().samples[20];
  SECTION("voltage") {
    sample.voltage_v = nonsense;
  }
  SECTION("current") {
    sample.current_a = nonsense;
  }
  SECTION("time") {
    sample.time_s = nonsense;
  }
  SECTION("cell") {
    sample.cell_v = {3.2, nonsense};
  }
  SECTION("temperature") {
    sample.temperature_c = nonsense;
  }
  check_nothing_measured(run.recording(), "no usable number");
}

TEST_CASE("a clock that runs backwards spoils the run") {
  auto run = sound_run();
  run.recording().samples[20].time_s -= 1000.0;
  check_nothing_measured(run.recording(), "backwards");
}

TEST_CASE("a sample of no step spoils the run") {
  auto run = sound_run();
  run.recording().samples.back().step = 7;
  check_nothing_measured(run.recording(), "belongs to no step");
}

TEST_CASE("steps that run backwards spoil the run") {
  RunBuilder run;
  run.step(StepKind::rest).rest(5);
  run.step(StepKind::rest).rest(5);
  run.recording().samples.back().step = 0;
  check_nothing_measured(run.recording(), "steps run backwards");
}

TEST_CASE("a current that never came on is no discharge") {
  auto run = sound_run();
  for (Sample& sample : run.recording().samples) sample.current_a = 0.0;
  check_nothing_measured(run.recording(), "no current flowed");
}

TEST_CASE("an input that never came on is no discharge") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).rest(100);
  check_nothing_measured(run.recording(), "never came on");
}

TEST_CASE("a charge in the middle is no discharge") {
  auto run = sound_run();
  auto& samples = run.recording().samples;
  for (std::size_t i = 20; i < 30; ++i) samples[i].current_a = -3.0;
  check_nothing_measured(run.recording(), "charged");
}

TEST_CASE("a pack without a rating has no scale") {
  auto run = sound_run();
  run.recording().pack.rated_capacity_ah = 0.0;
  check_nothing_measured(run.recording(), "no rated capacity");
}

TEST_CASE("all samples at one time hold no charge") {
  auto run = sound_run();
  for (Sample& sample : run.recording().samples) {
    sample.time_s = 5.0;
    sample.commanded_since_s = 5.0;
  }
  check_nothing_measured(run.recording(), "");
}

TEST_CASE("a board that opened while the clock stood still gave no charge") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::protection_board).hold(Phase::discharge, 2.0, 3.0, 1.0);
  auto& samples = run.recording().samples;
  for (Sample& sample : samples) sample.time_s = sample.commanded_since_s.emplace(5.0);
  samples.back().current_a = 0.0;
  samples.back().commanded_since_s = 4.0;
  check_nothing_measured(run.recording(), "no charge was removed");
}

}  // namespace
}  // namespace sagbench::analysis
