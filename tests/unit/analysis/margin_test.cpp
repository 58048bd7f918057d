// What a margin's uncertainty is made of: each term alone, by arithmetic. Instrument terms are
// rectangular (JCGM 100:2008, 4.3.7), the whole is expanded with k = 2.

#include "analysis/margin.hpp"

#include <array>
#include <cmath>
#include <vector>

#include "analysis/charge_state.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::qro_radio;  // 20 A peaks, 11.0 V, 0.01 ohm of cable
using testing::RunBuilder;

const double kRectangular = 2.0 / std::sqrt(3.0);  // U of a half-width of 1

/// Tested at half charge and at 20 %, where the supply is lowest: 11.25 V, a slope of 2.5 V.
SupplyCurve tested() {
  SupplyCurve curve;
  curve.points = {{.charge = 0.5, .supply_v = 12.0}, {.charge = 0.2, .supply_v = 11.25}};
  return curve;
}
BenchAccuracy perfect() {
  BenchAccuracy accuracy;
  accuracy.meter_voltage = AccuracyTerm{};
  return accuracy;
}
std::vector<SagLine> sags(double ohm) {
  SagLine line;
  line.charge = 0.5;
  line.ohm = ohm;
  return {line};
}

double uncertainty(const BenchAccuracy& accuracy, const SupplyCurve& curve,
                   double charge_scale_u = 0.0) {
  const std::array curves = {curve};
  const auto margin = supply_margin(accuracy, qro_radio(), curves, charge_scale_u, sags(0.02));
  REQUIRE(margin);
  return margin->margin_v.expanded_uncertainty;
}

TEST_CASE("with nothing in doubt there is no uncertainty") {
  CHECK(uncertainty(perfect(), tested()) == 0.0);
}

TEST_CASE("the voltage counts with gain and offset, before the cable") {
  auto accuracy = perfect();
  accuracy.meter_voltage = AccuracyTerm{0.001, 0.0, 20.0};
  CHECK(uncertainty(accuracy, tested()) == Approx(kRectangular * 0.001 * (11.25 + 0.2)));
  accuracy.meter_voltage = AccuracyTerm{0.0, 0.0002, 20.0};
  CHECK(uncertainty(accuracy, tested()) == Approx(kRectangular * 0.004));
}

TEST_CASE("without a meter the load's reading and its leads count") {
  BenchAccuracy accuracy;
  accuracy.leads_ohm = 0.004;
  accuracy.load_voltage = {0.0, 0.0001, 60.0};
  CHECK(uncertainty(accuracy, tested()) == Approx(kRectangular * std::hypot(0.006, 0.004 * 20.0)));
}

TEST_CASE("the current counts over cable and sag") {
  auto accuracy = perfect();
  accuracy.load_current = {0.01, 0.0, 30.0};
  CHECK(uncertainty(accuracy, tested()) == Approx(kRectangular * 0.2 * (0.01 + 0.02)));
}

TEST_CASE("the noise of the readings counts") {
  auto curve = tested();
  curve.points[1].scatter_v = 0.03;
  CHECK(uncertainty(perfect(), curve) == Approx(2.0 * 0.03));
}

TEST_CASE("the doubt about the charge counts with the slope") {
  // 80 % removed, 5 % of it in doubt.
  CHECK(uncertainty(perfect(), tested(), 0.05) == Approx(2.5 * 0.8 * 0.05));
}

TEST_CASE("between two tested charges the way between them counts") {
  auto curve = tested();
  curve.points[1] = {.charge = 0.1, .supply_v = 11.0};
  // Three quarters of the way of 1 V: 1 / 2 * 4 * 0.75 * 0.25
  CHECK(uncertainty(perfect(), curve) == Approx(kRectangular * 0.375));
  curve.points[1].charge = 0.2;
  CHECK(uncertainty(perfect(), curve) == 0.0);
}

TEST_CASE("a charge scale from the rating is in doubt by a fifth of it") {
  BenchAccuracy accuracy;
  accuracy.load_current = {0.01, 0.0, 30.0};
  const auto missing = Finding<Capacity>::missing("no capacity step");
  CHECK(charge_scale_uncertainty(accuracy, missing) ==
        Approx(kRectangular * std::hypot(0.2, 0.01)));
  Capacity capacity;
  capacity.charge_ah = {10.0, 0.1};
  CHECK(charge_scale_uncertainty(accuracy, capacity) == Approx(0.01));
}

TEST_CASE("a single peak brings the noise of its own readings") {
  RunBuilder run({.full_v = 13.0, .fall_v_per_ah = 0.0, .ohm = 0.02});
  run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 20.0, 10.0, 0.1);
  run.transmit_step(qro_radio(), StepEnd::skipped);
  double sign = 1.0;
  for (Sample& sample : run.recording().samples)
    if (sample.phase == Phase::peak) sample.voltage_v += 0.01 * (sign = -sign);
  const auto ratings = analyse(run.recording()).ratings;
  REQUIRE(ratings.at(1).margin_v);
  // Readings 10 mV up and down have a standard deviation of 10 mV; a reading's distance to the line
  // through its neighbours is then 20 mV, with the variance of 1.5 readings: 16.3 mV.
  CHECK(ratings[1].margin_v->expanded_uncertainty ==
        Approx(2.0 * 0.02 / std::sqrt(1.5)).epsilon(0.01));
}

/// Keyed for 10 s, silent for 10 s, sixteen times over, on a pack that stands at 13 V.
RunBuilder keyed() {
  RunBuilder run({.full_v = 13.0, .fall_v_per_ah = 0.0, .ohm = 0.02});
  run.transmit_step(qro_radio());
  for (int over = 0; over < 16; ++over)
    run.hold(Phase::transmit, 20.0, 10.0, 0.25).hold(Phase::receive, 1.0, 10.0, 0.25);
  return run;
}

TEST_CASE("on the air, what one over differs from the next by is the pack's, and no noise") {
  auto run = keyed();
  for (Sample& sample : run.recording().samples)
    if (std::fmod(sample.time_s, 40.0) > 20.0) sample.voltage_v -= 0.05;
  const auto margin_v = analyse(run.recording()).ratings.at(1).margin_v;
  REQUIRE(margin_v);
  CHECK(margin_v->value == Approx(13.0 - 0.05 - 0.6 - 11.0));
  CHECK(margin_v->expanded_uncertainty < 1e-6);
}

TEST_CASE("on the air, the lowest of many noisy readings lies below their mean") {
  auto run = keyed();
  double sign = 1.0;
  for (Sample& sample : run.recording().samples) sample.voltage_v += 0.01 * (sign = -sign);
  const auto margin_v = analyse(run.recording()).ratings.at(1).margin_v;
  REQUIRE(margin_v);
  // 16.3 mV as above. 640 readings under the key, 0.89 Ah of 10 Ah in all: five bins of 2 %, the
  // fullest of 144; sqrt(2 ln n) is between 2.8 and 3.2 for 50 to 160 of them.
  const double noise_v = 0.02 / std::sqrt(1.5);
  CHECK(margin_v->expanded_uncertainty > 2.0 * 2.8 * noise_v);
  CHECK(margin_v->expanded_uncertainty < 2.0 * 3.2 * noise_v);
}

}  // namespace
}  // namespace sagbench::analysis
