#include "analysis/endurance.hpp"

#include <cmath>
#include <vector>

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
  CHECK(found.cautions.back() ==
        "The mean current of 5.20 A is far from the 2.00 A at which the capacity was measured.");
  CHECK(found.enough.value());
  CHECK(*found.recharge.mean_w == 0.0);
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
  REQUIRE(found.recharge.mean_w);
  CHECK(*found.recharge.mean_w == Approx((5.2 - 3.3) * kMeanV).epsilon(1e-3));
  operation.recharge_w = *found.recharge.mean_w * 1.0001;
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
  CHECK(*asked(run.recording(), operation).recharge.mean_w == Approx(3.2 * kMeanV).epsilon(2e-3));
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
  operation.radio.cable_ohm = 0.0;
  const double rise = 13.8 / kMeanV;
  CHECK(asked(measured(), operation).mean_current_a ==
        Approx(0.5 * rise * (0.4 * 22.0 + 0.6) + 0.5).epsilon(1e-6));
  // Behind 10 mohm the radio has 11.72098 V at its peak and 11.96847 V idling (upper root of
  // u^2 - V u + P R = 0): 25.90228 A and 1.153030 A, worked outside this program.
  operation.radio.cable_ohm = 0.01;
  CHECK(asked(measured(), operation).mean_current_a ==
        Approx(0.5 * (0.4 * 25.90228 + 0.6 * 1.153030) + 0.5).epsilon(1e-4));
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

TEST_CASE("what the cold takes of lithium is not guessed: the hours are a maximum") {
  auto operation = on_cw();
  operation.temperature_c = 5.0;
  const auto found = asked(measured(), operation);
  CHECK(found.hours->value == Approx(13.2 / 5.2));
  CHECK(found.hours_are_maximum);
  CHECK_FALSE(found.enough);
  CHECK(found.enough_if_cold_leaves.value() == Approx(2.0 * 5.2 / 13.2).epsilon(1e-3));
  CHECK_FALSE(found.recharge.mean_w);
  CHECK_FALSE(found.temperature);
  CHECK(mentions(found.temperature.why(), "no table is known"));
  CHECK(mentions(found.cautions.back(), "nothing is corrected"));
  operation.hours = 3.0;  // too long even for what the pack gave at 20 degrees
  CHECK(asked(measured(), operation).enough == std::optional(false));
  CHECK_FALSE(asked(measured(), operation).enough_if_cold_leaves);
}

TEST_CASE("warmth is announced, and what it adds is not counted") {
  auto operation = on_cw();
  operation.temperature_c = 35.0;
  const auto found = asked(measured(), operation);
  CHECK(found.hours->value == Approx(13.2 / 5.2));
  CHECK_FALSE(found.hours_are_maximum);
  CHECK(found.enough == std::optional(true));
  CHECK(mentions(found.cautions.back(), "nothing is corrected"));
}

TEST_CASE("without a capacity there are no hours") {
  RunBuilder run;
  run.step(StepKind::rest).rest(10);
  const auto found = asked(run.recording(), on_cw());
  CHECK_FALSE(found.hours);
  CHECK(found.hours.why() == "the run has no capacity step");
  REQUIRE(found.limits.size() == 1);
  CHECK(found.limits[0].by == "capacity");
  CHECK(found.limits[0].hours.why() == found.hours.why());
  CHECK_FALSE(found.recharge.mean_w);
  CHECK_FALSE(found.enough);
}

Recording measured_agm() {
  auto recording = measured();
  recording.pack.chemistry = Chemistry::agm;
  recording.pack.series = 6;
  return recording;
}

// 1 + 0.010 /K (5 - 20) of what it gave at 20 degrees: 13.2 Ah at 5.2 A last less than 3 h.
TEST_CASE("lead-acid in the cold loses by the published coefficient") {
  auto operation = on_cw();
  operation.temperature_c = 5.0;
  operation.hours = 1.9;
  auto found = asked(measured_agm(), operation);
  CHECK(found.hours->value == Approx(0.85 * 13.2 / 5.2));
  // 0.002 /K over 15 K, rectangular, k = 2.
  CHECK(found.hours->expanded_uncertainty ==
        Approx(2.0 * 0.03 / std::sqrt(3.0) * 13.2 / 5.2).epsilon(0.01));
  CHECK_FALSE(found.hours_are_maximum);
  CHECK(found.enough == std::optional(true));
  CHECK(found.limited_by == "capacity");
  operation.hours = 2.3;  // 2.54 h at 20 degrees
  found = asked(measured_agm(), operation);
  CHECK(found.enough == std::optional(false));
  CHECK(found.limited_by == "cold");
  REQUIRE(found.limits.size() == 2);
  CHECK(found.limits[0].by == "capacity");
  CHECK(found.limits[0].hours->value == Approx(13.2 / 5.2));
  CHECK(found.limits[1].by == "cold");
  CHECK(found.limits[1].hours->value == Approx(0.85 * 13.2 / 5.2));
}

TEST_CASE("runs of the pack on both sides tell what the cold leaves") {
  auto operation = on_cw();
  operation.temperature_c = 5.0;
  const auto recording = measured();
  const std::vector<RatePoint> others = {{2.0, {9.9, 0.0, 2.0}, 10.0, -5.0}};
  const auto found = endurance(recording, analyse(recording), operation, others);
  // Two fifths of the way from 9.9 to 13.2 Ah.
  CHECK(found.hours->value == Approx(11.22 / 5.2));
  CHECK_FALSE(found.hours_are_maximum);
  REQUIRE(found.temperature);
  CHECK(found.temperature->factor.value == Approx(0.85));
  CHECK(mentions(found.temperature->source, "-5"));
}

TEST_CASE("below what the chemistry bears the cold ends it") {
  auto operation = on_cw();
  operation.temperature_c = -21.0;
  const auto found = asked(measured(), operation);
  CHECK_FALSE(found.hours);
  CHECK(found.limited_by == "cold");
  CHECK(found.enough == std::optional(false));
  CHECK_FALSE(found.recharge.mean_w);
}

TEST_CASE("recharge of lithium below freezing is neither counted nor asked for") {
  auto operation = on_cw();
  operation.hours = 4.0;
  operation.recharge_w = 30.0;
  operation.temperature_c = -1.0;
  const std::vector<RatePoint> others = {{2.0, {9.9, 0.0, 2.0}, 10.0, -5.0}};
  const auto recording = measured();
  const auto lithium = endurance(recording, analyse(recording), operation, others);
  CHECK(lithium.mean_current_a == Approx(5.2));
  CHECK(lithium.recharge.needed == std::optional(true));
  CHECK_FALSE(lithium.recharge.mean_w);
  CHECK(mentions(lithium.recharge.mean_w.why(), "never charged below 0"));
  CHECK(mentions(lithium.cautions.at(1), "not counted"));
  const auto lead = measured_agm();
  const auto acid = endurance(lead, analyse(lead), operation, others);
  CHECK(acid.mean_current_a == Approx(5.2 - 30.0 / kMeanV).epsilon(1e-6));
  CHECK(acid.recharge.mean_w);
}

TEST_CASE("recharge is told for the hours of sun") {
  auto operation = on_cw();
  operation.hours = 4.0;  // of which 3.3 A are borne
  const double mean_w = (5.2 - 3.3) * kMeanV;
  CHECK(mentions(asked(measured(), operation).recharge.sun_w.why(), "sun_hours"));
  operation.sun_hours = 2.0;
  const auto found = asked(measured(), operation);
  CHECK(*found.recharge.mean_w == Approx(mean_w).epsilon(1e-3));
  CHECK(*found.recharge.sun_w == Approx(2.0 * mean_w).epsilon(1e-3));
  operation.recharge_w = *found.recharge.sun_w * 1.0001;  // in those hours
  CHECK(asked(measured(), operation).enough == std::optional(true));
  operation.recharge_w = 0.0;
  operation.sun_hours = 1.0;  // 91 W where 62 W are drawn
  CHECK(mentions(asked(measured(), operation).cautions.back(), "room for it"));
  operation.sun_hours = 0.0;
  CHECK_FALSE(asked(measured(), operation).recharge.sun_w);
}

TEST_CASE("of what the sun gives beyond the draw nothing counts as sure") {
  auto operation = on_cw();
  operation.hours = 8.0;
  operation.sun_hours = 4.0;
  operation.recharge_w = 500.0;
  const auto found = asked(measured(), operation);
  CHECK_FALSE(found.unlimited);
  CHECK(found.mean_current_a == Approx(5.2 / 2.0));  // the hours without sun remain
  CHECK(found.enough == std::optional(false));
  CHECK(mentions(found.cautions.back(), "W in the sun is more than the 62 W drawn then"));
  operation.sun_hours = 8.0;
  CHECK(asked(measured(), operation).unlimited);
}

// W. Peukert's law through 13.2 Ah at 2 A and 12 Ah at 8 A gives 12.36072 Ah at 5.2 A (worked
// outside this program).
TEST_CASE("runs at other currents tell the capacity at the mean current") {
  const auto recording = measured_agm();
  const std::vector<RatePoint> others = {{8.0, {12.0, 0.0, 2.0}, 10.0, 20.0}};
  const auto found = endurance(recording, analyse(recording), on_cw(), others);
  REQUIRE(found.capacity_at_mean_ah);
  CHECK(found.capacity_at_mean_ah->value == Approx(12.36072).epsilon(1e-4));
  CHECK(found.hours->value == Approx(12.36072 / 5.2).epsilon(1e-4));
  for (const auto& caution : found.cautions) CHECK_FALSE(mentions(caution, "is far from"));
  // A cold run at another current says nothing of the current.
  const std::vector<RatePoint> cold = {{8.0, {12.0, 0.0, 2.0}, 10.0, 0.0}};
  CHECK_FALSE(endurance(recording, analyse(recording), on_cw(), cold).capacity_at_mean_ah);
}

TEST_CASE("the energy to bring goes as far as the operation") {
  auto operation = on_cw();
  operation.hours = 4.0;
  const auto found = asked(measured(), operation);
  REQUIRE(found.energy_to_bring_wh);
  CHECK(found.energy_to_bring_wh->value == Approx(4.0 * 5.2 * kMeanV).epsilon(1e-3));
  CHECK(found.energy_to_bring_wh->expanded_uncertainty > 0.0);
  operation.temperature_c = 5.0;  // the cold leaves 85 % of a lead-acid pack
  CHECK(asked(measured_agm(), operation).energy_to_bring_wh->value ==
        Approx(4.0 * 5.2 * kMeanV / 0.85).epsilon(1e-3));
  operation.recharge_w = 100.0;
  CHECK(asked(measured(), operation).energy_to_bring_wh->value == 0.0);
}

// 9.8793 A r.m.s. and 22 A through 20.84 mohm, worked outside this program.
TEST_CASE("the cable's loss follows the r.m.s. current and the peak") {
  auto operation = on_cw();
  operation.radio.cable_ohm = 0.02084;
  const auto cable = asked(measured(), operation).cable;
  CHECK(cable.mean_w == Approx(2.033996).epsilon(1e-4));
  CHECK(cable.mean_share == Approx(0.0326505).epsilon(1e-4));
  CHECK(cable.peak_w == Approx(10.08656).epsilon(1e-4));
  CHECK(cable.peak_share == Approx(0.0382705).epsilon(1e-4));
}

TEST_CASE("a pack that is too heavy is ended by its weight") {
  auto recording = measured();
  recording.pack.mass_kg = 2.1;
  auto operation = on_cw();
  operation.carry_limit_kg = 2.0;
  const auto found = asked(recording, operation);
  CHECK(found.limited_by == "weight limit");
  CHECK(found.hours);
  CHECK(found.limits.back().by == "weight limit");
  CHECK_FALSE(found.limits.back().hours);
}

TEST_CASE("sag in the cold leaves a maximum, and nothing where the test was cut short") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  auto operation = on_cw();
  operation.temperature_c = 5.0;
  SECTION("of a radio that sag drove off the air") {
    run.transmit_step(qro_radio(), StepEnd::supply_min);
    run.discharge_to(11.0 + 0.2, 20.0, 2.0, Phase::transmit);
    const auto found = asked(run.recording(), operation);
    CHECK(found.limited_by == "sag");
    CHECK(found.hours_are_maximum);
  }
  SECTION("of a radio that stayed on") {
    run.transmit_step(qro_radio());
    run.hold(Phase::transmit, 20.0, 1080.0, 2.0);
    const auto found = asked(run.recording(), operation);
    CHECK_FALSE(found.hours);
    CHECK(mentions(found.hours.why(), "still on the air"));
    CHECK_FALSE(found.hours_are_minimum);
  }
}

}  // namespace
}  // namespace sagbench::analysis
