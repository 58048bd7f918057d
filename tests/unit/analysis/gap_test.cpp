// A discharge that was cut short, unwatched for a while, and went on.
#include "analysis/gap.hpp"

#include <cmath>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

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

double standard_uncertainty(const Measured& measured) {
  return measured.expanded_uncertainty / measured.coverage_factor;
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
  CHECK(standard_uncertainty(figures.capacity->charge_ah) ==
        Approx(0.1 / std::sqrt(3.0)).epsilon(1e-9));
  // The voltage before the gap stands for the gap: 13.96 - 0.3 * 4 = 12.76 V, where 12.745 V was
  // the mean. The rest is straight: 11.98 V in the mean.
  const double energy_wh = kChargeAh * 11.98 + 0.1 * 0.015;
  CHECK(figures.capacity->energy_wh.value == Approx(energy_wh).epsilon(3e-6));
  CHECK(standard_uncertainty(figures.capacity->energy_wh) ==
        Approx(12.76 * 0.1 / std::sqrt(3.0)).epsilon(1e-9));
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
  CHECK(standard_uncertainty(figures.capacity->charge_ah) ==
        Approx(std::sqrt(2.0) * 0.1 / std::sqrt(3.0)).epsilon(1e-9));
  CHECK(figures.gaps.size() == 2);
}

TEST_CASE("the pack looked at after a gap is no noise of the current") {
  auto run = continued(0.0);
  auto& recording = run.recording();
  recording.gaps[0].longest_on_s = 0.0;  // leaves nothing else in doubt
  const Figures figures = analyse(recording);
  REQUIRE(figures.capacity);
  CHECK(figures.capacity->charge_ah.expanded_uncertainty < 1e-9);
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
