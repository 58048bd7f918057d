// Predictions on an ideal pack, whose hours and lowest supply follow by arithmetic.
#include "analysis/prediction.hpp"

#include <cmath>

#include "analysis/past_currents.hpp"
#include "analysis/setting_error.hpp"
#include "analysis/source_curve.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::qro_radio;
using testing::RunBuilder;

// 14.0 V full, 0.3 V an ampere-hour, 20 mohm; ends at 10.0 V: 13.2 Ah at 2 A.
RunBuilder measured_run(double at_a = 2.0) {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, at_a, 10.0);
  run.full().step(StepKind::peak_current).rest(60);
  for (const double current_a : {5.0, 10.0, 20.0})
    run.hold(Phase::peak, current_a, 10.0, 0.1).hold(Phase::recovery, 0.0, 30.0, 0.5);
  run.hold(Phase::discharge, 5.0, 3600.0, 10.0).rest(60);
  for (const double current_a : {5.0, 10.0, 20.0})
    run.hold(Phase::peak, current_a, 10.0, 0.1).hold(Phase::recovery, 0.0, 30.0, 0.5);
  return run;
}

/// A carrier of 20 A a third of the time: 20 A for 20 s, 1 A for 40 s. Mean 22/3 A.
Outing carrier() {
  Outing outing;
  outing.radio = qro_radio();
  outing.radio.supply_nominal_v = 10.0;  // a linear stage then clips nowhere in these voltages
  for (int over = 0; over < 60; ++over) {
    outing.sent.push_back({20.0, true, 1.0});
    outing.sent.push_back({40.0, false, 0.0});
  }
  return outing;
}

// After its first drop-out the radio comes back three times, to drop out at once in its next over:
// each time 2 s of silence and 40 s of reception at 1 A.
constexpr double kTriesTake_h = 3.0 * 42.0 / 3600.0;
constexpr double kTriesTake_ah = 3.0 * 40.0 / 3600.0;

TEST_CASE("hours and lowest supply of an ideal pack follow by arithmetic") {
  auto run = measured_run();
  const auto found = predict(run.recording(), carrier());
  REQUIRE(found);
  // 14.0 - 0.3 q - 20 A (0.02 + 0.01 ohm) = 11.0 at q = 8 Ah, at 22/3 A.
  CHECK(found->hours.value == Approx(8.0 / (22.0 / 3.0) + kTriesTake_h).epsilon(0.006));
  CHECK(found->limited_by == "supply_min");
  CHECK(found->lowest_supply_v.value == Approx(11.0 - 0.3 * kTriesTake_ah).margin(0.002));
  CHECK(found->mean_current_a == Approx(22.0 / 3.0).epsilon(1e-6));
  CHECK(found->hours.expanded_uncertainty > 0.0);
  CHECK(found->hours.expanded_uncertainty < 0.15 * found->hours.value);
}

TEST_CASE("a step of planned length has its own lowest supply, the hours are the radio's") {
  auto outing = carrier();
  outing.hours = 0.5;
  const auto found = predict(measured_run().recording(), outing);
  REQUIRE(found);
  CHECK(found->hours.value == Approx(8.0 / (22.0 / 3.0) + kTriesTake_h).epsilon(0.006));
  // After half an hour 11/3 Ah are gone.
  CHECK(found->lowest_supply_v.value == Approx(14.0 - 1.1 - 0.6).margin(0.01));
}

TEST_CASE("charge that is gone before is missing at the end") {
  auto outing = carrier();
  outing.charge_before_ah = 4.0;
  const auto found = predict(measured_run().recording(), outing);
  REQUIRE(found);
  CHECK(found->hours.value == Approx(4.0 / (22.0 / 3.0) + kTriesTake_h).epsilon(0.01));
}

TEST_CASE("the rate of the capacity discharge does not matter to a pack without lag") {
  const auto slow = predict(measured_run(1.0).recording(), carrier());
  const auto fast = predict(measured_run(10.0).recording(), carrier());
  REQUIRE(slow);
  REQUIRE(fast);
  CHECK(slow->hours.value == Approx(fast->hours.value).epsilon(0.005));
}

TEST_CASE("a radio that does not come back is off the air with its first drop-out") {
  auto outing = carrier();
  outing.radio.restart_v = 11.7;  // a rested pack has 11.6 V then
  const auto found = predict(measured_run().recording(), outing);
  REQUIRE(found);
  CHECK(found->hours.value == Approx(8.0 / (22.0 / 3.0)).epsilon(0.006));
  CHECK(found->limited_by == "supply_min");
  CHECK(found->lowest_supply_v.value == Approx(11.0).margin(0.002));
}

TEST_CASE("the offset of the current's reading is in doubt by how much lower the current is") {
  const auto interval = [](double of_range) {
    auto run = measured_run();
    run.recording().accuracy.load_current = {0.0, of_range, 40.0};
    const auto found = predict(run.recording(), carrier());
    REQUIRE(found);
    return found->hours;
  };
  // 0.4 A against 2 A in the discharge and 22/3 A on the air.
  const double relative = 0.4 * (1.0 / 2.0 - 3.0 / 22.0);
  const double of_offset = kCoverageFactor * rectangular(relative) * interval(0.0).value;
  const double without = interval(0.0).expanded_uncertainty;
  const double with = interval(0.01).expanded_uncertainty;
  CHECK(with == Approx(std::hypot(without, of_offset)).epsilon(0.05));
}

TEST_CASE("without the supply limit the end of discharge is the end") {
  auto outing = carrier();
  outing.until_supply_min = false;
  const auto found = predict(measured_run().recording(), outing);
  REQUIRE(found);
  // 14.0 - 0.3 q - 0.4 = 10.0 at q = 12 Ah.
  CHECK(found->hours.value == Approx(12.0 / (22.0 / 3.0)).epsilon(0.005));
  CHECK(found->limited_by == "end of discharge");
}

TEST_CASE("the weakest tapped cell ends it where it is lower than its share") {
  auto run = measured_run();
  for (Sample& sample : run.recording().samples)
    sample.cell_v = {sample.voltage_v / 4.0 - 0.3, sample.voltage_v / 4.0 + 0.1};
  auto outing = carrier();
  outing.until_supply_min = false;
  const auto found = predict(run.recording(), outing);
  REQUIRE(found);
  // (14.0 - 0.3 q - 0.4) / 4 - 0.3 = 2.5 at q = 8 Ah.
  CHECK(found->hours.value == Approx(8.0 / (22.0 / 3.0)).epsilon(0.01));
  CHECK(found->limited_by == "cell end of discharge");
}

TEST_CASE("what is drawn beside what was asked for is expected again") {
  auto run = measured_run();
  for (Sample& sample : run.recording().samples)
    if (sample.commanded_a > 0.0) sample.commanded_a -= 0.1;
  CHECK(setting_error(run.recording()).offset_a == Approx(0.1).margin(1e-9));
  CHECK(setting_error(run.recording()).gain == Approx(0.0).margin(1e-9));
  const auto found = predict(run.recording(), carrier());
  REQUIRE(found);
  CHECK(found->mean_current_a == Approx(22.0 / 3.0 + 0.1).epsilon(1e-6));
}

TEST_CASE("what a prediction lacks is said") {
  RunBuilder no_peaks;
  no_peaks.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0);
  CHECK(predict(no_peaks.recording(), carrier()).why() == "no peaks were measured before it");
  RunBuilder no_capacity;
  no_capacity.step(StepKind::rest).rest(10);
  CHECK(mentions(predict(no_capacity.recording(), carrier()).why(), "no capacity step"));
}

TEST_CASE("a lead-acid discharge leaves charge behind in proportion to its current") {
  Pack agm;
  agm.chemistry = Chemistry::agm;
  const Lag lag = lag_of(agm);
  // The line through 1.05 at 1.05/20, 1.00 at 0.1, 0.75 at 0.25 and 0.52 at 0.52 falls by 1.15 h.
  CHECK(lag.hours == Approx(1.15).margin(0.01));
  PastCurrents past(lag.hours);
  past.advance(2.0, lag.hours * 3600.0);
  CHECK(past.lag_ah() == Approx(2.0 * lag.hours * (1.0 - std::exp(-1.0))));
  CHECK(lag_of(Pack{}).hours == 0.0);
}

TEST_CASE("a branch is found by its rest and its recovery") {
  // 5 mohm at once and 10 mohm with 8 s, made here by the exponential itself.
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0);
  run.full().step(StepKind::peak_current).rest(60);
  run.hold(Phase::peak, 10.0, 20.0, 0.1).hold(Phase::recovery, 0.0, 60.0, 0.5);
  auto& recording = run.recording();
  double branch_a = 0.0, before_s = 0.0;
  for (Sample& sample : recording.samples) {
    if (sample.step != 1) continue;
    branch_a = sample.current_a +
               (branch_a - sample.current_a) * std::exp(-(sample.time_s - before_s) / 8.0);
    before_s = sample.time_s;
    sample.voltage_v += 0.02 * sample.current_a - 0.005 * sample.current_a - 0.010 * branch_a;
  }
  const auto discharge = capacity_discharge(recording, 0);
  REQUIRE(discharge);
  const ChargeState charge(recording, 13.2);
  const auto points = pulse_responses(recording, charge, 0.0, *discharge);
  REQUIRE(points.size() == 1);
  CHECK(points[0].response.at_once_ohm == Approx(0.005).margin(2e-4));
  CHECK(points[0].response.branch_ohm[3] == Approx(0.010).margin(5e-4));
  CHECK(points[0].response.total_ohm() == Approx(0.015).margin(5e-4));
}

}  // namespace
}  // namespace sagbench::analysis
