// State of charge by curve, by counting and by both.
#include "analysis/charge_estimate.hpp"

#include <cmath>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

RestPoint rest_at(double removed_ah, double voltage_v) {
  return {.removed_ah = removed_ah, .voltage_v = {voltage_v, 0.0, 2.0}};
}

/// 14.0 V full to 11.0 V empty, 10 Ah, as good as exact.
OpenCircuitCurve straight_curve() {
  std::vector<RestPoint> rests;
  for (int i = 0; i <= 50; ++i) rests.push_back(rest_at(0.2 * i, 14.0 - 0.06 * i));
  const auto slow = Finding<SlowDischarge>::missing("none");
  return *open_circuit_curve(rests, slow, {}, 10.0);
}

/// A capacity discharge at 2 A, a recharge, and 4 Ah at `current_a` with a rest after it.
RunBuilder run_to_rest(double current_a) {
  RunBuilder run;
  run.step(StepKind::rest).rest(120.0);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 60.0);
  run.full().step(StepKind::recharge).rest(10.0);
  run.step(StepKind::peak_current)
      .hold(Phase::discharge, current_a, 2.0 / current_a * 3600.0, 10.0)
      .rest(120.0)
      .hold(Phase::discharge, current_a, 2.0 / current_a * 3600.0, 10.0)
      .rest(120.0);
  run.recording().accuracy.load_current = {0.001, 0.0003, 40.0};
  return run;
}

}  // namespace

TEST_CASE("by a straight curve the charge is the voltage's, its interval two uncertainties wide") {
  const auto found = charge_by_curve(straight_curve(), {.voltage_v = 12.5, .own_u_v = 0.06});
  REQUIRE(found);
  CHECK(found->charge == Approx(0.5).margin(0.002));
  CHECK(found->low == Approx(0.5 - 1.96 * 0.02).margin(0.003));
  CHECK(found->high == Approx(0.5 + 1.96 * 0.02).margin(0.003));
}

TEST_CASE("charge counted since the rest comes off what the rest tells") {
  const auto found = charge_by_curve(
      straight_curve(), {.voltage_v = 12.5, .own_u_v = 0.006, .since_ah = 2.0, .since_u_ah = 0.3});
  REQUIRE(found);
  CHECK(found->charge == Approx(0.3).margin(0.002));
  CHECK(found->high - found->low == Approx(2.0 * 1.96 * std::hypot(0.03, 0.002)).epsilon(0.05));
}

TEST_CASE("a voltage beyond the curve gives no charge") {
  const auto found = charge_by_curve(straight_curve(), {.voltage_v = 10.5, .own_u_v = 0.02});
  CHECK_FALSE(found);
  CHECK(mentions(found.why(), "10.500 V lie beyond the curve"));
}

// Two rests leave open where the curve runs between them, but not that it runs between them.
TEST_CASE("a voltage below the lowest of two rests is no charge between them") {
  const auto curve = open_circuit_curve({rest_at(1.0, 13.1), rest_at(5.0, 12.5)},
                                        Finding<SlowDischarge>::missing("none"), {}, 10.0);
  REQUIRE(curve);
  const auto told = [&](double voltage_v) {
    return charge_by_curve(*curve, {.voltage_v = voltage_v, .own_u_v = 0.03});
  };
  CHECK(told(12.8));
  for (const double voltage_v : {12.23, 13.4}) {
    CHECK(mentions(told(voltage_v).why(), "lie beyond the curve, 12.500 to 13.100 V"));
    CHECK_FALSE(fused_charge(*curve, {.voltage_v = voltage_v, .own_u_v = 0.03}, {0.6, 0.1, 2.0}));
  }
}

// Weights 1 / 0.02^2 and 1 / 0.01^2: 0.2 of the one and 0.8 of the other.
TEST_CASE("on a straight curve both are the mean by inverse variances") {
  const auto found =
      fused_charge(straight_curve(), {.voltage_v = 12.5, .own_u_v = 0.06}, {0.55, 0.02, 2.0});
  REQUIRE(found);
  CHECK(found->charge == Approx(0.2 * 0.5 + 0.8 * 0.55).margin(0.002));
  const double u = 1.0 / std::sqrt(1.0 / (0.02 * 0.02) + 1.0 / (0.01 * 0.01));
  CHECK(found->high - found->low == Approx(2.0 * 1.96 * u).epsilon(0.05));
}

TEST_CASE("where counting and curve exclude each other there is no charge by both") {
  const auto found =
      fused_charge(straight_curve(), {.voltage_v = 12.5, .own_u_v = 0.01}, {0.9, 0.01, 2.0});
  CHECK_FALSE(found);
  CHECK(mentions(found.why(), "contradict"));
}

// Where the curve is flat from 20 to 80 %, the voltage of the flat part says no more than that.
TEST_CASE("on a plateau the interval is as wide as the plateau") {
  std::vector<RestPoint> rests;
  for (int i = 0; i <= 50; ++i) {
    const double charge = 1.0 - 0.02 * i;
    const double away = charge > 0.8 ? charge - 0.8 : std::min(0.0, charge - 0.2);
    rests.push_back(rest_at(0.2 * i, 13.2 + 2.0 * away));
  }
  const auto curve = open_circuit_curve(rests, Finding<SlowDischarge>::missing("none"), {}, 10.0);
  REQUIRE(curve);
  const auto found = charge_by_curve(*curve, {.voltage_v = 13.2, .own_u_v = 0.002});
  REQUIRE(found);
  CHECK(found->low == Approx(0.2 + 0.025 * 0.6).margin(0.01));
  CHECK(found->high == Approx(0.8 - 0.025 * 0.6).margin(0.01));
}

TEST_CASE("the doubt of counting grows with the charge moved") {
  RunBuilder run = run_to_rest(5.0);
  const Recording& recording = run.recording();
  const Figures figures = analyse(recording);
  REQUIRE(figures.capacity);
  const ChargeState charge(recording, figures.capacity->charge_ah.value);
  double last_u = 0.0;
  int looked_at = 0;
  for (std::size_t i = 0; i < recording.samples.size(); ++i) {
    if (recording.samples[i].step != 3 || i % 50 != 0) continue;
    const auto counted = charge_by_counting(recording, charge, figures.capacity, i);
    CHECK(counted.charge.value == Approx(charge.charge(i)));
    CHECK(counted.charge.expanded_uncertainty >= last_u);
    last_u = counted.charge.expanded_uncertainty;
    ++looked_at;
  }
  CHECK(looked_at > 3);
}

// Gain cancels. The capacity took 13.2 Ah / 2 A = 6.6 h, the 4 Ah 0.8 h; 12 mA of offset either
// way: (0.8 h - 4/13.2 6.6 h) 0.012 A / 13.2 Ah = -0.001091.
TEST_CASE("with a capacity of the same run the gain cancels and the offset nearly so") {
  RunBuilder run = run_to_rest(5.0);
  const Recording& recording = run.recording();
  const Figures figures = analyse(recording);
  REQUIRE(figures.capacity);
  const double full_ah = figures.capacity->charge_ah.value;
  const auto counted = charge_by_counting(recording, ChargeState(recording, full_ah),
                                          figures.capacity, recording.samples.size() - 1);
  bool offset = false;
  for (const BudgetTerm& term : counted.budget.terms) {
    CHECK(term.input != "gain of the current");
    if (term.input != "offset of the current") continue;
    offset = true;
    const double hours = 0.8 - 4.0 / full_ah * full_ah / 2.0;
    CHECK(term.sensitivity == Approx(-hours / full_ah).epsilon(0.01));
  }
  CHECK(offset);
}

TEST_CASE("without a measured capacity the rated one widens what was counted") {
  RunBuilder run;
  run.step(StepKind::peak_current).hold(Phase::discharge, 5.0, 2880.0, 10.0).rest(120.0);
  const Recording& recording = run.recording();
  const auto counted =
      charge_by_counting(recording, ChargeState(recording, 10.0),
                         Finding<Capacity>::missing("none"), recording.samples.size() - 1);
  CHECK(counted.charge.value == Approx(0.6));
  CHECK(counted.charge.expanded_uncertainty == Approx(2.0 * 0.4 * 0.2 / std::sqrt(3.0)));
}

TEST_CASE("a run's end is told by curve, by counting and by both, and they agree") {
  RunBuilder run = run_to_rest(5.0);
  const Recording& recording = run.recording();
  Figures figures = analyse(recording);
  add_charge_circuit(recording, figures);
  REQUIRE(figures.open_circuit);
  REQUIRE(figures.state_of_charge);
  const ChargeEstimate& end = figures.state_of_charge->at_end;
  REQUIRE(end.by_counting);
  REQUIRE(end.by_curve);
  REQUIRE(end.fused);
  const double truth = 1.0 - 4.0 / figures.capacity->charge_ah.value;
  CHECK(end.by_counting->charge.value == Approx(truth).margin(0.001));
  CHECK(end.by_curve->low <= truth);
  CHECK(end.by_curve->high >= truth);
  CHECK(end.fused->charge == Approx(truth).margin(0.005));
  CHECK(end.fused->high - end.fused->low <= end.by_curve->high - end.by_curve->low);
  CHECK(end.agree == true);
  const ChargeEstimate& start = figures.state_of_charge->at_start;
  CHECK(mentions(start.by_counting.why(), "taken for full"));
  CHECK_FALSE(start.by_curve);
}

TEST_CASE("a run without a rest after its discharge holds none to tell its end by") {
  RunBuilder run;
  run.step(StepKind::rest).rest(120.0);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 60.0);
  Figures figures = analyse(run.recording());
  add_charge_circuit(run.recording(), figures);
  REQUIRE(figures.open_circuit);
  REQUIRE(figures.state_of_charge);
  CHECK(figures.state_of_charge->at_end.by_curve.why() ==
        "the run holds no rest of a minute that was reached by discharging");
}

TEST_CASE("a rest is held to a curve that does not follow from itself") {
  RunBuilder run;
  run.step(StepKind::peak_current);
  for (int visit = 0; visit < 2; ++visit) run.hold(Phase::discharge, 5.0, 1440.0, 10.0).rest(120.0);
  Figures figures = analyse(run.recording());
  add_charge_circuit(run.recording(), figures);
  REQUIRE(figures.open_circuit);  // of two rests
  REQUIRE(figures.state_of_charge);
  CHECK(mentions(figures.state_of_charge->at_end.by_curve.why(),
                 "without the rest itself there is no curve to hold it to: no slow discharge"));
}

TEST_CASE("a pack that was not full contradicts what was counted, and a caution says so") {
  RunBuilder run = run_to_rest(5.0);
  Recording& recording = run.recording();
  for (Sample& sample : recording.samples)
    if (sample.step == 3) sample.voltage_v -= 0.3 * 2.0;  // 2 Ah were missing
  Figures figures = analyse(recording);
  add_charge_circuit(recording, figures);
  REQUIRE(figures.state_of_charge);
  CHECK(figures.state_of_charge->at_end.agree == false);
  bool said = false;
  for (const auto& caution : figures.cautions)
    said = said || mentions(caution, "it was not full when it was taken for full");
  CHECK(said);
}

}  // namespace sagbench::analysis
