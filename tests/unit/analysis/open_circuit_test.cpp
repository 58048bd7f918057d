// Open-circuit curves of records whose curve is known, and what is said where they tell less.
#include "analysis/open_circuit_curve.hpp"

#include <cmath>
#include <random>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/relaxed_voltage.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::lfp_pack;
using testing::mentions;
using testing::RunBuilder;

constexpr double kRelaxed_s = 7200.0;

struct Recovery {
  double end_v, slow_v, slow_s, fast_v, fast_s;

  double at(double after_s) const {
    return end_v - slow_v * std::exp(-after_s / slow_s) - fast_v * std::exp(-after_s / fast_s);
  }
  std::vector<Reading> readings(double length_s, double every_s) const {
    std::vector<Reading> found;
    for (double t = every_s; t <= length_s; t += every_s) found.push_back({100.0 + t, at(t)});
    return found;
  }
};

const auto kNoCircuit = Finding<ChargeCircuit>::missing("no edges");

/// What a capacity discharge of a 10 Ah pack at this current gives; it begins after a rest.
struct Discharged {
  explicit Discharged(double current_a, testing::IdealPack ideal = {}) : run(ideal) {
    run.step(StepKind::rest).rest(120.0);
    run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, current_a, 60.0);
  }
  Finding<SlowDischarge> slow() {
    return slow_discharge(run.recording(), ChargeState(run.recording(), 10.0), kNoCircuit);
  }
  RunBuilder run;
};

RestPoint rest_at(double removed_ah, double voltage_v, double own_u_v = 0.001,
                  Approach approach = Approach::discharging) {
  return {.removed_ah = removed_ah,
          .approach = approach,
          .voltage_v = {voltage_v, 2.0 * own_u_v, 2.0},
          .own_u_v = own_u_v,
          .last_v = voltage_v,
          .rested_s = 600.0};
}

const auto kNoSlow = Finding<SlowDischarge>::missing("none");

}  // namespace

TEST_CASE("a recovery that is cut short is followed to where it was heading") {
  const Recovery recovery{13.0, 0.10, 200.0, 0.0, 1.0};
  const auto readings = recovery.readings(200.0, 2.0);
  const auto relaxed = relaxed_voltage(readings, 100.0, kRelaxed_s);
  REQUIRE(relaxed);
  CHECK(std::abs(relaxed->voltage_v - 13.0) < 2.0 * relaxed->standard_u_v);
  CHECK(relaxed->voltage_v > readings.back().value);
}

TEST_CASE("the longer the rest, the less is in doubt") {
  const Recovery recovery{13.0, 0.10, 300.0, 0.05, 15.0};
  double last_u_v = 1.0;
  for (const double length_s : {200.0, 900.0, 2700.0}) {
    const auto relaxed = relaxed_voltage(recovery.readings(length_s, 2.0), 100.0, kRelaxed_s);
    REQUIRE(relaxed);
    CAPTURE(length_s, relaxed->voltage_v, relaxed->standard_u_v);
    CHECK(std::abs(relaxed->voltage_v - 13.0) < 2.0 * relaxed->standard_u_v);
    CHECK(relaxed->standard_u_v < last_u_v);
    last_u_v = relaxed->standard_u_v;
  }
}

// 300 recoveries of two branches with noise; the interval is for 95 of 100.
TEST_CASE("the stated uncertainty of a relaxed voltage holds") {
  std::mt19937 engine(7);
  std::uniform_real_distribution<double> spread(0.0, 1.0);
  std::normal_distribution<double> noise(0.0, 0.0001);
  int inside = 0;
  constexpr int kTrials = 300;
  for (int trial = 0; trial < kTrials; ++trial) {
    const Recovery recovery{13.0, 0.01 + 0.1 * spread(engine), 60.0 + 500.0 * spread(engine),
                            0.05 * spread(engine), 5.0 + 20.0 * spread(engine)};
    auto readings = recovery.readings(300.0, 2.0);
    for (Reading& reading : readings) reading.value += noise(engine);
    const auto relaxed = relaxed_voltage(readings, 100.0, kRelaxed_s);
    REQUIRE(relaxed);
    if (std::abs(relaxed->voltage_v - 13.0) <= 2.0 * relaxed->standard_u_v) ++inside;
  }
  CAPTURE(inside);
  CHECK(inside >= kTrials * 90 / 100);
}

TEST_CASE(
    "a rest with few readings tells nothing, and one that stands still tells where it stands") {
  const std::vector<Reading> few = {{0.0, 12.9}, {30.0, 12.95}, {60.0, 12.96}};
  CHECK_FALSE(relaxed_voltage(few, 0.0, kRelaxed_s));
  CHECK_FALSE(relaxed_voltage(std::span(few).first(1), 0.0, kRelaxed_s));
  const auto still =
      relaxed_voltage(Recovery{13.0, 0.0, 1.0, 0.0, 1.0}.readings(60.0, 1.0), 100.0, kRelaxed_s);
  REQUIRE(still);
  CHECK(still->voltage_v == 13.0);
  CHECK(still->standard_u_v == 0.0);
}

TEST_CASE("rests are found at their charge, with the way that led there") {
  RunBuilder run;
  run.step(StepKind::rest).rest(120.0);
  run.step(StepKind::peak_current)
      .hold(Phase::discharge, 5.0, 720.0, 10.0)
      .rest(120.0)
      .hold(Phase::peak, 10.0, 10.0, 1.0)
      .hold(Phase::recovery, 0.0, 30.0, 1.0)
      .hold(Phase::discharge, 5.0, 720.0, 10.0)
      .rest(120.0);
  const ChargeState charge(run.recording(), 10.0);
  const auto rests = rest_points(run.recording(), charge);
  REQUIRE(rests.size() == 3);  // the recovery is too short
  CHECK(rests[0].approach == Approach::charging);
  CHECK(rests[1].approach == Approach::discharging);
  CHECK(rests[1].removed_ah == Approx(1.0));
  CHECK(rests[1].voltage_v.value == Approx(14.0 - 0.3).margin(1e-6));
  CHECK(rests[2].removed_ah == Approx(2.0 + 10.0 * 10.0 / 3600.0));
  CHECK(rests[2].rested_s == Approx(120.0));
}

TEST_CASE("what is read while a charger is at the pack, or without a pack, is no rest") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 60.0);
  run.full().step(StepKind::recharge).rest(600.0);
  run.step(StepKind::rest).rest(300.0);
  auto& recording = run.recording();
  const auto found = rest_points(recording, ChargeState(recording, 10.0));
  REQUIRE(found.size() == 1);
  CHECK(found[0].removed_ah == 0.0);
  CHECK(found[0].approach == Approach::charging);
  for (Sample& sample : recording.samples)
    if (sample.step == 2) sample.voltage_v = 0.0;
  CHECK(rest_points(recording, ChargeState(recording, 10.0)).empty());
}

TEST_CASE("the instrument's error is in a rest's uncertainty, not in its own") {
  RunBuilder run;
  run.step(StepKind::rest).rest(120.0);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.001, 0.0, 20.0};
  const auto rests = rest_points(run.recording(), ChargeState(run.recording(), 10.0));
  REQUIRE(rests.size() == 1);
  CHECK(rests[0].own_u_v == Approx(0.0).margin(1e-9));
  CHECK(rests[0].voltage_v.expanded_uncertainty == Approx(2.0 * 0.014 / std::sqrt(3.0)));
}

// 14.0 V full, 0.3 V/Ah, 0.02 ohm: the fall at switch-on is the whole sag and 60 s of discharge.
TEST_CASE("a slow discharge gets the sag of its switch-on back") {
  Discharged discharged(2.0);
  const auto slow = discharged.slow();
  REQUIRE(slow);
  CHECK_FALSE(slow->sag_by_circuit);
  CHECK(slow->rate_it == Approx(0.2));
  const double added_v = 0.02 * 2.0 + 0.3 * 2.0 * 60.0 / 3600.0;
  for (const SlowPoint& point : slow->points) {
    CHECK(point.sag_v == Approx(added_v));
    CHECK(point.voltage_v == Approx(14.0 - 0.3 * point.removed_ah - 0.04 + added_v));
    CHECK(point.own_u_v >= added_v / std::sqrt(3.0));
  }
}

TEST_CASE("a fast discharge, or one whose sag nobody saw, is no open-circuit curve") {
  Discharged fast(5.0);
  CHECK(mentions(fast.slow().why(), "0.50 It; up to 0.25 It counts as slow"));
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 60.0);
  const auto slow = slow_discharge(run.recording(), ChargeState(run.recording(), 10.0), kNoCircuit);
  CHECK(mentions(slow.why(), "no reading at rest stands before"));
}

// 10 Ah between two readings: only the first lies before the discharge's end.
TEST_CASE("a discharge that was hardly looked at is no open-circuit curve") {
  RunBuilder run;
  run.step(StepKind::rest).rest(120.0);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0 * 3600.0);
  const ChargeState charge(run.recording(), 13.2);
  CHECK(slow_discharge(run.recording(), charge, kNoCircuit).why() ==
        "the discharge holds too few readings");
}

TEST_CASE("the sag of a circuit is added where there is one") {
  Discharged discharged(2.0);
  ChargeCircuit circuit;
  circuit.r0_ohm = {{0.0}, {{0.015, 0.0}}};
  circuit.branches = {{{10.0, 0.0}, {{0.0}, {{0.005, 0.0}}}}};
  const auto slow = slow_discharge(discharged.run.recording(),
                                   ChargeState(discharged.run.recording(), 10.0), circuit);
  REQUIRE(slow);
  CHECK(slow->sag_by_circuit);
  for (const SlowPoint& point : slow->points)
    CHECK(point.voltage_v == Approx(14.0 - 0.3 * point.removed_ah));
}

TEST_CASE("rests move the slow discharge, and how far is said") {
  Discharged discharged(2.0);
  const double off_v = 0.3 * 2.0 * 60.0 / 3600.0;  // what switch-on counted too much
  const auto curve = open_circuit_curve({rest_at(2.0, 14.0 - 0.6), rest_at(8.0, 14.0 - 2.4 + 0.05)},
                                        discharged.slow(), {}, 10.0);
  REQUIRE(curve);
  REQUIRE(curve->difference);
  CHECK(curve->difference->rests == 2);
  CHECK(curve->difference->mean_v == Approx(0.025 - off_v));
  CHECK(curve->difference->largest_v == Approx(0.05 - off_v));
  CHECK(curve->difference->at_removed_ah == 8.0);
  CHECK(curve->at(2.0).voltage_v.value == Approx(14.0 - 0.6).margin(1e-3));
  CHECK(curve->at(5.0).voltage_v.value == Approx(14.0 - 1.5 + 0.025).margin(1e-3));
  CHECK(curve->at(9.5).voltage_v.value == Approx(14.0 - 2.85 + 0.05).margin(1e-4));
  // Best known at the rests, worst where no rest is on one side.
  CHECK(curve->at(2.0).own_u_v < curve->at(5.0).own_u_v);
  CHECK(curve->at(5.0).own_u_v < curve->at(0.5).own_u_v);
  CHECK(curve->at(5.0).own_u_v >= 0.05 / std::sqrt(12.0));
}

TEST_CASE("rests alone make a curve that is wide between them") {
  const auto curve =
      open_circuit_curve({rest_at(2.0, 13.4), rest_at(8.0, 12.8)}, kNoSlow, {}, 10.0);
  REQUIRE(curve);
  CHECK(mentions(curve->difference.why(), "none"));
  CHECK(curve->at(5.0).voltage_v.value == Approx(13.1));
  CHECK(curve->at(5.0).own_u_v == Approx(std::hypot(0.001, 0.6 / std::sqrt(12.0))));
  CHECK(curve->at(2.0).own_u_v == Approx(0.001));
  const auto one = open_circuit_curve({rest_at(2.0, 13.4)}, kNoSlow, {}, 10.0);
  CHECK_FALSE(one);
  CHECK(mentions(one.why(), "fewer than two charges"));
}

TEST_CASE("hysteresis is told from rests reached both ways, and else said to be unmeasured") {
  std::vector<RestPoint> rests = {rest_at(2.0, 13.4), rest_at(8.0, 12.8),
                                  rest_at(0.0, 14.1, 0.001, Approach::charging)};
  auto curve = open_circuit_curve(rests, kNoSlow, {}, 10.0);
  REQUIRE(curve);
  CHECK(mentions(curve->hysteresis.why(), "not measured"));
  rests.push_back(rest_at(8.0, 12.86, 0.002, Approach::charging));
  curve = open_circuit_curve(rests, kNoSlow, {}, 10.0);
  REQUIRE(curve->hysteresis);
  REQUIRE(curve->hysteresis->size() == 1);
  const HysteresisPoint& point = curve->hysteresis->front();
  CHECK(point.removed_ah == 8.0);
  CHECK(point.voltage_v.value == Approx(0.06));
  CHECK(point.voltage_v.expanded_uncertainty == Approx(2.0 * std::hypot(0.001, 0.002)));
}

TEST_CASE("of several rests at one charge the one known best counts") {
  const std::vector<RestPoint> rests = {rest_at(2.0, 13.4, 0.01), rest_at(2.02, 13.41, 0.001),
                                        rest_at(5.0, 13.0)};
  const auto best = best_rests(rests, Approach::discharging, 10.0);
  REQUIRE(best.size() == 2);
  CHECK(best[0].voltage_v.value == 13.41);
}

}  // namespace sagbench::analysis
