#include "analysis/endurance.hpp"

#include <cmath>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::qro_radio;
using testing::RunBuilder;

// 13.2 Ah at 2 A, mean voltage 11.98 V (see capacity_test).
constexpr double kMeanV = 11.98;

Recording measured() {
  RunBuilder run;
  run.step(StepKind::rest).rest(10);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0);
  return run.recording();
}

/// A radio with 22, 1 and 1 A on CW, half the time: 5.2000 A mean and 9.8793 A rms (worked outside
/// this program).
Operation on_cw() {
  Operation operation;
  operation.radio = qro_radio();
  operation.radio.transmit_peak_a = 22.0;
  operation.radio.transmit_idle_a = 1.0;
  operation.mode = Mode::cw;
  operation.transmit_share = 0.5;
  operation.hours = 2.0;
  return operation;
}

Endurance asked(const Recording& recording, const Operation& operation) {
  return endurance(recording, analyse(recording), operation);
}

TEST_CASE("hours are charge over mean current") {
  const auto found = asked(measured(), on_cw());
  REQUIRE(found.hours);
  CHECK(found.mean_current_a == Approx(5.2));
  CHECK(found.rms_current_a == Approx(9.8793).margin(1e-4));
  CHECK(found.hours->value == Approx(13.2 / 5.2));
  CHECK(found.energy_needed_wh == Approx(2.0 * 5.2 * kMeanV).epsilon(1e-6));
  CHECK(found.limited_by == "capacity");
  CHECK(found.enough.value());
  CHECK(*found.recharge_needed_w == 0.0);
  CHECK_FALSE(found.carry_ok);
}

TEST_CASE("other loads draw and recharge gives, at the pack's mean voltage") {
  auto operation = on_cw();
  operation.other_loads_w = 2.0 * kMeanV;
  operation.recharge_w = 1.0 * kMeanV;
  const auto found = asked(measured(), operation);
  CHECK(found.mean_current_a == Approx(5.2 + 2.0 - 1.0).epsilon(1e-6));
  CHECK(found.hours->value == Approx(13.2 / 6.2).epsilon(1e-6));
}

TEST_CASE("too few hours name the recharge that would make them enough") {
  auto operation = on_cw();
  operation.hours = 4.0;
  const auto found = asked(measured(), operation);
  CHECK_FALSE(found.enough.value());
  // 4 h bear 3.3 A of the 5.2 A.
  REQUIRE(found.recharge_needed_w);
  CHECK(*found.recharge_needed_w == Approx((5.2 - 3.3) * kMeanV).epsilon(1e-3));
  operation.recharge_w = *found.recharge_needed_w * 1.0001;
  CHECK(asked(measured(), operation).enough.value());
}

TEST_CASE("recharge above the draw leaves no end") {
  auto operation = on_cw();
  operation.recharge_w = 100.0;
  const auto found = asked(measured(), operation);
  CHECK(found.unlimited);
  CHECK_FALSE(found.hours);
  CHECK(found.enough.value());
  CHECK(found.limited_by == "nothing: recharge covers the draw");
}

TEST_CASE("the interval holds capacity and current in quadrature") {
  auto recording = measured();
  recording.accuracy.load_current = {0.01, 0.0, 30.0};
  const auto found = asked(recording, on_cw());
  // Gain of 1 % in the capacity and in the current, rectangular, k = 2.
  const double share = 2.0 * 0.01 / std::sqrt(3.0) * std::sqrt(2.0);
  CHECK(found.hours->expanded_uncertainty == Approx(found.hours->value * share).epsilon(1e-3));
}

TEST_CASE("enough counts the lower end of the interval") {
  auto recording = measured();
  recording.accuracy.load_current = {0.1, 0.0, 30.0};
  auto operation = on_cw();
  operation.hours = 2.5;  // 2.54 h are measured, with 16 % in doubt
  CHECK_FALSE(asked(recording, operation).enough.value());
  operation.hours = 2.0;
  CHECK(asked(recording, operation).enough.value());
}

TEST_CASE("a radio that was tested counts the charge it could use") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  run.transmit_step(qro_radio(), StepEnd::supply_min);
  run.discharge_to(11.0 + 0.2, 20.0, 2.0, Phase::transmit);  // (14 - 11 - 0.6) / 0.3 = 8 Ah
  auto operation = on_cw();
  SECTION("with a peak within 20 %") {
    const auto found = asked(run.recording(), operation);
    CHECK(found.hours->value == Approx(8.0 / 5.2).epsilon(2e-3));
    CHECK(found.limited_by == "sag");
  }
  SECTION("but not for a radio with another peak") {
    operation.radio.transmit_peak_a = 40.0;
    const auto found = asked(run.recording(), operation);
    CHECK(found.limited_by == "capacity");
    CHECK(mentions(found.cautions.at(0), "did not test a radio like this one"));
  }
}

TEST_CASE("a radio that no test drove off the air lasts at least so long") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  run.transmit_step(qro_radio());
  run.hold(Phase::transmit, 20.0, 1080.0, 2.0);  // 6 of 13.2 Ah, and still 11.6 V at the radio
  auto operation = on_cw();
  const auto lasts = [&](double hours) {
    operation.hours = hours;
    const auto found = asked(run.recording(), operation);
    CHECK(found.hours->value == Approx(6.0 / 5.2).epsilon(2e-3));
    CHECK(found.hours_are_minimum);
    const bool warned = !found.cautions.empty() && mentions(found.cautions.back(), "at least");
    CHECK(warned != found.enough.value_or(false));
    return found.enough;
  };
  CHECK(lasts(1.0) == std::optional(true));
  CHECK(lasts(2.0) == std::nullopt);  // 10.4 Ah: more than was tested, less than the pack holds
  CHECK(lasts(3.0) == std::optional(false));  // 15.6 Ah: more than the pack holds
  // 3 h bear 2 A of the 5.2 A for sure.
  CHECK(*asked(run.recording(), operation).recharge_needed_w == Approx(3.2 * kMeanV).epsilon(2e-3));
}

TEST_CASE("a pack outside the radio's supply limits does not start it") {
  auto operation = on_cw();
  operation.radio.supply_min_v = 14.5;
  const auto found = asked(measured(), operation);
  CHECK_FALSE(found.hours);
  CHECK(found.limited_by == "does not start");
  CHECK_FALSE(found.enough.value());
}

TEST_CASE("a constant-power stage draws more from a pack below the nominal supply") {
  auto operation = on_cw();
  operation.radio.stage = Stage::constant_power;
  operation.radio.supply_nominal_v = 13.8;
  const double peak_a = 22.0 * 13.8 / kMeanV;
  CHECK(asked(measured(), operation).mean_current_a ==
        Approx(0.5 * (0.4 * peak_a + 0.6) + 0.5).epsilon(1e-6));
}

TEST_CASE("weight is judged only where both weights are known") {
  auto recording = measured();
  auto operation = on_cw();
  operation.carry_limit_kg = 2.0;
  CHECK_FALSE(asked(recording, operation).carry_ok);
  recording.pack.mass_kg = 2.0;
  CHECK(asked(recording, operation).carry_ok.value());
  recording.pack.mass_kg = 2.1;
  CHECK_FALSE(asked(recording, operation).carry_ok.value());
}

TEST_CASE("another temperature is announced and nothing is corrected") {
  auto operation = on_cw();
  operation.temperature_c = 5.0;
  const auto found = asked(measured(), operation);
  CHECK(found.hours->value == Approx(13.2 / 5.2));
  CHECK(mentions(found.cautions.back(), "nothing is corrected"));
}

TEST_CASE("without a capacity there are no hours") {
  RunBuilder run;
  run.step(StepKind::rest).rest(10);
  const auto found = asked(run.recording(), on_cw());
  CHECK_FALSE(found.hours);
  CHECK(found.hours.why() == "the run has no capacity step");
  CHECK_FALSE(found.recharge_needed_w);
  CHECK_FALSE(found.enough);
}

}  // namespace
}  // namespace sagbench::analysis
