// A discharge that was cut short, unwatched for a while, and went on.
#include "analysis/gap.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"
#include "analysis/rest_in_gap.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;
using testing::u_beside_clock;

// The ideal pack gives (14 - 10 - 0.02 * 2) / 0.3 = 13.2 Ah at 2 A.
constexpr double kChargeAh = 13.2;
constexpr double kLongestOnS = 360.0;  // 0.2 Ah at 2 A: 0.1 Ah either way

/// Two hours, a gap of half an hour in which the load drew for `drew_s`, then to the end.
RunBuilder continued(double drew_s) {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge);
  run.hold(Phase::discharge, 2.0, 7200.0, 10.0);
  run.gap(1800.0, 2.0, drew_s, kLongestOnS);
  run.rest(3).discharge_to(10.0, 2.0, 10.0).rest(5);
  return run;
}

/// Of a gap of 0.1 Ah either way. An ideal pack has no rise by rest: the first reading after the
/// gap, `then_s` later, is below the last one before it, and how much earlier nobody saw.
double doubt_ah(double then_s, double half_width_ah = 0.1) {
  return std::hypot(half_width_ah, 2.0 * then_s / 3600.0) / std::sqrt(3.0);
}

}  // namespace

TEST_CASE("what may have flowed in a gap counts with its middle and its half width") {
  const Gap gap{0.0, 1800.0, 2.0, kLongestOnS, ""};
  CHECK(most_ah(gap) == Approx(0.2));
  CHECK(middle_ah(gap) == Approx(0.1));
  CHECK(half_width_ah(gap) == Approx(0.1));
}

TEST_CASE("capacity and energy across a gap are the two parts and the middle of the gap") {
  auto run = continued(kLongestOnS / 2.0);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.value == Approx(kChargeAh).epsilon(1e-9));
  CHECK(u_beside_clock(figures.capacity->charge_budget) == Approx(doubt_ah(13.0)).epsilon(1e-6));
  // The voltage before the gap stands for the gap: 13.96 - 0.3 * 4 = 12.76 V, where 12.745 V was
  // the mean. The rest is straight: 11.98 V in the mean.
  const double energy_wh = kChargeAh * 11.98 + 0.1 * 0.015;
  CHECK(figures.capacity->energy_wh.value == Approx(energy_wh).epsilon(3e-6));
  const double gap_wh = 12.76 * doubt_ah(0.0);
  const double rest_wh = figures.capacity->to_voltage_v * doubt_ah(13.0, 0.0);
  CHECK(u_beside_clock(figures.capacity->energy_budget) ==
        Approx(std::hypot(gap_wh, rest_wh)).epsilon(1e-6));
  CHECK(figures.capacity->mean_current_a == Approx(2.0).epsilon(1e-3));
}

TEST_CASE("whatever flowed in the gap, the truth lies within the half width") {
  const double drew_s = GENERATE(0.0, 10.0, 170.0, 360.0);
  auto run = continued(drew_s);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.value ==
        Approx(kChargeAh + (kLongestOnS / 2.0 - drew_s) * 2.0 / 3600.0).epsilon(1e-9));
}

TEST_CASE("gaps stand alone: their doubts add in quadrature") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge);
  for (int i = 0; i < 2; ++i) {
    run.hold(Phase::discharge, 2.0, 3600.0, 10.0);
    run.gap(600.0, 2.0, kLongestOnS / 2.0, kLongestOnS).rest(2);
  }
  run.discharge_to(10.0, 2.0, 10.0);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.value == Approx(kChargeAh).epsilon(1e-9));
  CHECK(u_beside_clock(figures.capacity->charge_budget) ==
        Approx(std::sqrt(2.0) * doubt_ah(12.0)).epsilon(1e-6));
  CHECK(figures.gaps.size() == 2);
}

TEST_CASE("the pack looked at after a gap is no noise of the current") {
  auto run = continued(0.0);
  auto& recording = run.recording();
  recording.gaps[0].longest_on_s = 0.0;  // leaves nothing else in doubt
  const Figures figures = analyse(recording);
  REQUIRE(figures.capacity);
  CHECK(u_beside_clock(figures.capacity->charge_budget) ==
        Approx(doubt_ah(13.0, 0.0)).epsilon(1e-3));
}

TEST_CASE("a zero that is off within its promise is no charging at the look after a gap") {
  auto run = continued(0.0);
  auto& recording = run.recording();
  recording.accuracy.load_current = {.of_reading = 0.01, .of_range = 0.002, .range = 30.0};
  const auto off = std::ranges::find_if(
      recording.samples, [](const Sample& sample) { return sample.phase == Phase::rest; });
  off->current_a = -0.058;  // of at most 0.06 A
  recording.pack.rated_capacity_ah = 1.0;
  CHECK(analyse(recording).capacity);
  off->current_a = -0.12;
  REQUIRE_FALSE(analyse(recording).capacity);
  CHECK(mentions(analyse(recording).capacity.why(), "charged"));
}

TEST_CASE("the state of charge counts a gap with its middle") {
  auto run = continued(kLongestOnS / 2.0);
  const auto& recording = run.recording();
  const ChargeState charge(recording, 10.0);
  const auto last = recording.samples.size() - 1;
  CHECK(charge.removed_ah(last) == Approx(run.removed_ah()).epsilon(1e-9));
}

TEST_CASE("a second gap right behind the look at the pack counts in the state of charge") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::interrupted).hold(Phase::discharge, 2.0, 3600.0, 10.0);
  run.gap(600.0, 2.0, 180.0, kLongestOnS).rest(2).gap(600.0, 2.0, 180.0, kLongestOnS).rest(2);
  const auto& recording = run.recording();
  const ChargeState charge(recording, 10.0);
  CHECK(charge.removed_ah(recording.samples.size() - 1) == Approx(2.2).epsilon(1e-9));
}

TEST_CASE("a rest counts by the time that its rise lasted and by how the fall steepened") {
  // 13.0 V falls 1 mV a second; rested, 0.3 V more, which are gone after 60 s; the end falls ten
  // times as fast.
  std::vector<Sample> samples;
  const auto add = [&](double time_s, double voltage_v) {
    Sample sample;
    sample.phase = Phase::discharge;
    sample.time_s = time_s;
    sample.voltage_v = voltage_v;
    sample.current_a = sample.commanded_a = 2.0;
    sample.commanded_since_s = 0.0;
    samples.push_back(sample);
  };
  for (int s = 0; s <= 100; ++s) add(s, 13.1 - 0.001 * s);
  for (int s = 0; s <= 200; ++s)
    add(1000.0 + s, 13.0 + std::max(0.3 - 0.005 * s, 0.06 - 0.001 * s));
  for (int s = 1; s <= 100; ++s) add(1200.0 + s, 12.86 - 0.01 * s);
  const Gap gap{100.0, 1000.0, 2.0, 10.0, ""};
  Discharge discharge{.samples = samples, .gaps = std::span(&gap, 1)};
  discharge.end_s = 1300.0;
  CHECK(given_by_rest_s(discharge, gap) == Approx(6.0).epsilon(0.01));
  // Ended before it was down again, the discharge may owe the rest everything.
  discharge.samples = std::span(samples).first(131);
  discharge.end_s = 1030.0;
  CHECK(given_by_rest_s(discharge, gap) == Approx(30.0));
}

TEST_CASE("an end that was passed in a gap gives no capacity") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge);
  run.hold(Phase::discharge, 2.0, 7200.0, 10.0);
  run.gap(1800.0, 2.0, 9.3 / 2.0 * 3600.0, 9.4 / 2.0 * 3600.0).rest(3);
  run.discharge_to(10.0, 2.0, 10.0);
  const Figures figures = analyse(run.recording());
  CHECK_FALSE(figures.capacity);
  CHECK(mentions(figures.capacity.why(), "while nobody watched"));
}

TEST_CASE("the spread of the cells is that of a discharge in one go") {
  const auto with_cells = [](RunBuilder run) {
    for (Sample& sample : run.recording().samples) {
      const double quarter_v = sample.voltage_v / 4.0;
      const double falls_v = 0.01 * (14.0 - sample.voltage_v);
      sample.cell_v = {quarter_v + falls_v, quarter_v, quarter_v - falls_v, quarter_v};
    }
    return analyse(run.recording());
  };
  RunBuilder whole;
  whole.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0);
  const auto spread = with_cells(whole).cell_spread_v;
  REQUIRE(spread);
  CHECK(with_cells(continued(kLongestOnS / 2.0)).cell_spread_v.value() ==
        Approx(*spread).epsilon(0.01));
}

TEST_CASE("a caution says when the run was cut short, for how long, and what is in doubt") {
  auto run = continued(0.0);
  const Figures figures = analyse(run.recording());
  const auto& caution = figures.cautions.back();
  CHECK(mentions(caution, "cut short after 120 min (test) and went on 30 min later"));
  CHECK(mentions(caution, "100.0 mAh either way"));
  CHECK(mentions(caution, "the pack rested"));
}

}  // namespace sagbench::analysis
