#include "analysis/capacity.hpp"

#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::IdealPack;
using testing::mentions;
using testing::RunBuilder;
using testing::u_beside_clock;

// The ideal pack gives (full - end - ohm * current) / fall: (14 - 10 - 0.02 * 2) / 0.3 = 13.2 Ah at
// 2 A.
constexpr double kChargeAh = 13.2;

RunBuilder discharged(double every_s = 7.0) {
  RunBuilder run;
  run.step(StepKind::rest).rest(10);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).rest(3).discharge_to(10.0, 2.0, every_s);
  run.rest(5);
  return run;
}

TEST_CASE("capacity runs from input-on to the interpolated end voltage") {
  const double every_s = GENERATE(1.0, 7.0, 60.0);
  auto run = discharged(every_s);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.value == Approx(kChargeAh).epsilon(1e-9));
  CHECK(figures.capacity->to_voltage_v == Approx(10.0));
  CHECK(figures.capacity->mean_current_a == Approx(2.0));
  CHECK(figures.capacity->rate_it == Approx(0.2));
  CHECK(figures.capacity->temperature_c.value() == Approx(20.0));
  CHECK(figures.capacity->step == 1);
  // Terminal voltage falls straight from 14 - 0.04 to 10 V: mean 11.98 V. Before its first sample
  // the voltage is not known: at 60 s that is worth 10 mV over a minute of the 6.6 h.
  CHECK(figures.capacity->energy_wh.value == Approx(kChargeAh * 11.98).epsilon(3e-6));
}

TEST_CASE("charge after the crossing does not count") {
  auto run = discharged(1.0);
  auto& recording = run.recording();
  // The procedure took three more samples before it decided.
  const double before = analyse(recording).capacity->charge_ah.value;
  RunBuilder longer;
  longer.step(StepKind::rest).rest(10);
  longer.step(StepKind::capacity, StepEnd::end_of_discharge).rest(3);
  longer.discharge_to(10.0, 2.0, 1.0);
  longer.hold(Phase::discharge, 2.0, 3.0, 1.0);
  CHECK(analyse(longer.recording()).capacity->charge_ah.value == Approx(before).epsilon(1e-12));
}

TEST_CASE("a tapped cell ends the discharge where the step says so") {
  auto run = discharged(1.0);
  auto& recording = run.recording();
  recording.steps[1].end = StepEnd::cell_end_of_discharge;
  // Cell 3 stands 0.5 V below a quarter of the pack: it reaches 2.5 V when the pack stands at 12 V.
  for (Sample& sample : recording.samples) {
    const double quarter_v = sample.voltage_v / 4.0;
    sample.cell_v = {quarter_v + 0.2, quarter_v + 0.2, quarter_v - 0.5, quarter_v + 0.1};
  }
  const Figures figures = analyse(recording);
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.value == Approx((14.0 - 12.0 - 0.04) / 0.3).epsilon(1e-6));
  CHECK(figures.capacity->to_voltage_v == Approx(12.0));
  CHECK(figures.weakest_cell == 3);
  CHECK(figures.cell_spread_v.value() == Approx(0.7));
}

TEST_CASE(
    "a protection board that opens ends the discharge half way to the sample without current") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::protection_board).hold(Phase::discharge, 2.0, 3600.0, 10.0);
  auto& recording = run.recording();
  Sample open = recording.samples.back();
  open.time_s += 10.0;
  open.current_a = 0.0;
  open.voltage_v = 0.0;
  recording.samples.push_back(open);
  const Figures figures = analyse(recording);
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.value == Approx(2.0 + 2.0 * 5.0 / 3600.0).epsilon(1e-9));
  CHECK(figures.capacity->ended_by == StepEnd::protection_board);
  CHECK(figures.capacity->to_voltage_v > 12.0);
  // Nothing but the doubt of +/-5 s about the opening: 2 A * 5 s / sqrt(3).
  CHECK(u_beside_clock(figures.capacity->charge_budget) ==
        Approx(2.0 * 5.0 / std::sqrt(3.0) / 3600.0).epsilon(1e-3));
}

TEST_CASE("a board that opens at once, or a load that never draws, gives no capacity") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::protection_board).hold(Phase::discharge, 2.0, 0.1, 0.1);
  auto& samples = run.recording().samples;
  Sample open = samples.back();
  open.time_s += 10.0;
  open.current_a = 0.0;
  samples.push_back(open);
  CHECK(mentions(analyse(run.recording()).capacity.why(), "opened at once"));
  samples.front().current_a = 0.19;  // not settled yet, and yet next to nothing
  CHECK(mentions(analyse(run.recording()).capacity.why(), "no current flowed"));
  samples.front().current_a = 0.2;
  CHECK(mentions(analyse(run.recording()).capacity.why(), "opened at once"));
}

TEST_CASE("a voltage that is at its end as soon as current flows gives no capacity") {
  // A bad contact: 10.02 V at once and 9.92 V after a second.
  RunBuilder run(IdealPack{14.0, 200.0, 1.99});
  run.step(StepKind::capacity, StepEnd::end_of_discharge).hold(Phase::discharge, 2.0, 0.9, 0.1);
  CHECK(mentions(analyse(run.recording()).capacity.why(), "as soon as current flowed"));
}

TEST_CASE("the current's gain and offset do not average away") {
  auto run = discharged(1.0);
  run.recording().accuracy.load_current = {0.001, 0.0005, 30.0};
  const auto capacity = analyse(run.recording()).capacity;
  // 6.6 h at 2 A: gain 0.0132 Ah, offset 0.015 A * 6.6 h = 0.099 Ah, the clock's 1e-4, all
  // rectangular; k = 2 (JCGM 100:2008, 4.3.7, 5.1.2).
  const double expected = 2.0 * std::hypot(0.0132, 0.099, 0.00132) / std::sqrt(3.0);
  CHECK(capacity->charge_ah.expanded_uncertainty == Approx(expected).epsilon(1e-6));
  CHECK(capacity->charge_ah.coverage_factor == 2.0);
}

TEST_CASE("an error of the voltage counts by the charge that a volt takes at the end") {
  auto run = discharged(1.0);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.0, 0.001, 30.0};
  const auto capacity = analyse(run.recording()).capacity;
  // 0.03 V at 0.3 V/Ah are 0.1 Ah, rectangular.
  CHECK(capacity->charge_ah.expanded_uncertainty == Approx(0.2 / std::sqrt(3.0)).epsilon(1e-3));
}

TEST_CASE("energy carries the voltage's gain over the whole discharge") {
  auto run = discharged(1.0);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.001, 0.0, 30.0};
  const auto capacity = analyse(run.recording()).capacity;
  const double energy = capacity->energy_wh.value;
  // Gain 0.001 E, and by the same error the crossing: 0.01 V at 0.3 V/Ah, worth 10 V. One input:
  // the two add up.
  const double expected = (0.001 * energy + 0.01 / 0.3 * 10.0) / std::sqrt(3.0);
  CHECK(u_beside_clock(capacity->energy_budget) == Approx(expected).epsilon(1e-3));
}

TEST_CASE("without a meter the leads widen the uncertainty") {
  auto run = discharged(1.0);
  auto& accuracy = run.recording().accuracy;
  accuracy.meter_voltage.reset();
  CHECK(u_beside_clock(analyse(run.recording()).capacity->charge_budget) ==
        Approx(0.0).margin(1e-6));
  accuracy.leads_ohm = 0.05;  // 0.1 V at 2 A, a third of an ampere-hour
  CHECK(analyse(run.recording()).capacity->charge_ah.expanded_uncertainty ==
        Approx(2.0 / 3.0 / std::sqrt(3.0)).epsilon(1e-3));
}

TEST_CASE("the round trip leaves both ends in doubt by half of it") {
  auto run = discharged(1.0);
  for (Sample& sample : run.recording().samples) sample.round_trip_s = 0.2;
  const double one_end = 2.0 * 0.1 / 3600.0 / std::sqrt(3.0);
  CHECK(u_beside_clock(analyse(run.recording()).capacity->charge_budget) ==
        Approx(one_end * std::sqrt(2.0)).epsilon(1e-2));
}

TEST_CASE("a slow exchange on either side of the end leaves it in doubt") {
  const double one_end = 2.0 * 0.1 / 3600.0 / std::sqrt(3.0);
  for (const std::size_t from_last : {1U, 2U}) {
    CAPTURE(from_last);
    auto run = discharged(1.0);
    auto& samples = run.recording().samples;
    const auto past = std::ranges::find_if(
        samples, [&](const Sample& sample) { return sample.voltage_v <= 10.0; });
    (past + 1 - static_cast<std::ptrdiff_t>(from_last))->round_trip_s = 0.2;
    CHECK(u_beside_clock(analyse(run.recording()).capacity->charge_budget) ==
          Approx(one_end).epsilon(1e-2));
  }
}

TEST_CASE("a discharge that was not finished has no capacity, only a reason") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::interrupted).hold(Phase::discharge, 2.0, 1800.0, 10.0);
  run.last_step().why = "the operator stopped it";
  const Figures figures = analyse(run.recording());
  CHECK_FALSE(figures.capacity);
  CHECK(mentions(figures.capacity.why(), "the operator stopped it"));
  CHECK(mentions(figures.capacity.why(), "lowest 13.66 V"));
  CHECK(mentions(figures.capacity.why(), "1.000 Ah"));
}

TEST_CASE("a run that a limit ended beyond the end voltage still has its capacity") {
  // The line was silent for 300 s while the pack passed its end: the first reading after it shows
  // a voltage so low that the supervisor stops the run.
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::interrupted).discharge_to(10.0, 2.0, 10.0);
  auto& samples = run.recording().samples;
  const double shown_ah = analyse(run.recording()).capacity->charge_ah.value;
  CHECK(shown_ah == Approx(kChargeAh).epsilon(1e-9));
  const double end_s = kChargeAh / 2.0 * 3600.0;
  std::erase_if(samples, [end_s](const Sample& sample) {
    return sample.time_s > end_s - 295.0 && sample.time_s < end_s;
  });
  const auto capacity = analyse(run.recording()).capacity;
  REQUIRE(capacity);
  CHECK(capacity->charge_ah.value == Approx(kChargeAh).epsilon(1e-6));
  // The end lies anywhere in the gap, up to 300 s of 2 A away: 2 * 0.1667 Ah / sqrt(3).
  CHECK(capacity->charge_ah.expanded_uncertainty ==
        Approx(2.0 * 2.0 * 300.0 / 3600.0 / std::sqrt(3.0)).epsilon(0.05));
}

TEST_CASE("a last reading of no pack at all is no end of discharge") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::interrupted).hold(Phase::discharge, 2.0, 1800.0, 10.0);
  Sample& last = run.recording().samples.back();
  last.voltage_v = 0.25 * 10.0;
  CHECK_FALSE(analyse(run.recording()).capacity);
  last.voltage_v = 0.25 * 10.0 + 0.001;
  CHECK(analyse(run.recording()).capacity);
}

TEST_CASE("a pack that was not full has no capacity") {
  RunBuilder run;
  run.step(StepKind::peak_current).hold(Phase::peak, 20.0, 60.0, 1.0);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0);
  CHECK_FALSE(analyse(run.recording()).capacity);
  CHECK(mentions(analyse(run.recording()).capacity.why(), "not full"));
}

TEST_CASE("the first capacity step that got there counts") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::skipped);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->step == 1);
}

}  // namespace
}  // namespace sagbench::analysis
