#include "analysis/rating.hpp"

#include <cmath>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::IdealPack;
using testing::lfp_pack;
using testing::mentions;
using testing::qro_radio;
using testing::qrp_radio;
using testing::RunBuilder;

// JCGM 106:2012, 8.3.2: a guard band as wide as the expanded uncertainty.
TEST_CASE("a margin must exceed its uncertainty") {
  CHECK(verdict_of_margin({0.11, 0.10}) == Verdict::suits);
  CHECK(verdict_of_margin({0.10, 0.10}) == Verdict::marginal);
  CHECK(verdict_of_margin({0.0, 0.10}) == Verdict::marginal);
  CHECK(verdict_of_margin({-0.10, 0.10}) == Verdict::marginal);
  CHECK(verdict_of_margin({-0.11, 0.10}) == Verdict::does_not_suit);
  CHECK(name_of(Verdict::does_not_suit) == "does not suit");
}

/// Key-down at the radio's peak without a break: the least kind pattern.
RunBuilder& key_down(RunBuilder& run, const Radio& radio, double seconds) {
  return run.hold(Phase::transmit, radio.transmit_peak_a, seconds, 2.0);
}

const Rating& qro(const Figures& figures) {
  return figures.ratings.at(1);
}
const Rating& qrp(const Figures& figures) {
  return figures.ratings.at(0);
}

/// Full capacity 10 Ah at 2 A: (14 - 10 - 0.02 * 2) / 0.396.
constexpr IdealPack kTenAh{.full_v = 14.0, .fall_v_per_ah = 0.396, .ohm = 0.02};

RunBuilder with_capacity(IdealPack ideal = kTenAh) {
  RunBuilder run(ideal);
  run.step(StepKind::rest).rest(10);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  return run;
}

TEST_CASE("the margin is that at 20 % charge, interpolated, less cable drop") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 10.0;
  run.transmit_step(radio);
  key_down(run, radio, 1530.0);  // 8.5 Ah: past 20 % charge
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.0, 0.001, 20.0};
  const Figures figures = analyse(run.recording());
  const Rating& rating = qro(figures);
  // 14 - 8 * 0.396 - 20 * (0.02 + 0.01) = 10.232 V
  REQUIRE(rating.margin_v);
  CHECK(rating.margin_v->value == Approx(0.232).margin(0.001));
  CHECK(rating.margin_charge.value() == Approx(0.2));
  CHECK(rating.verdict == Verdict::suits);
  CHECK(rating.because ==
        "At 20.0 A peaks the radio still gets 10.23 V at 20 % charge, 0.23 V above its lower "
        "limit.");
  CHECK(rating.radio.value() == "QRO radio");
  CHECK(rating.cable_ohm.value() == 0.01);
  CHECK(rating.temperature_c.value() == Approx(20.0));
  CHECK(qrp(figures).verdict == Verdict::not_measured);
  CHECK(mentions(qrp(figures).because, "no QRP radio"));
}

TEST_CASE("a margin within the instruments' error is marginal") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 10.0;
  run.transmit_step(radio);
  key_down(run, radio, 1530.0);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.0, 0.03, 20.0};  // 0.6 V
  const auto figures = analyse(run.recording());
  CHECK(qro(figures).verdict == Verdict::marginal);
  CHECK(mentions(qro(figures).because, "within the uncertainty"));
}

TEST_CASE("peaks at tested charges rate a radio as transmitting does") {
  RunBuilder run(kTenAh);
  run.step(StepKind::peak_current).rest(5);
  for (int i = 0; i < 3; ++i) {
    run.hold(Phase::peak, 15.0, 10.0, 0.5).hold(Phase::recovery, 0.0, 20.0, 1.0);
    if (i < 2) run.hold(Phase::discharge, 5.0, 2880.0, 10.0);  // to 60 % and 19 % charge
  }
  run.full().step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0);
  auto radio = qro_radio();
  radio.supply_min_v = 10.0;
  run.transmit_step(radio, StepEnd::skipped);
  const Rating rating = qro(analyse(run.recording()));
  REQUIRE(rating.margin_v);
  // As above at 20 A, found from 15 A peaks. The charge of a peak itself tilts the line by a few
  // millivolts.
  CHECK(rating.margin_v->value == Approx(0.232).margin(0.03));
  CHECK(rating.verdict == Verdict::suits);
}

TEST_CASE("a sag that was not followed far enough is not rated") {
  auto run = with_capacity();
  run.transmit_step(qro_radio());
  key_down(run, qro_radio(), 720.0);  // 4 Ah
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::not_measured);
  CHECK(mentions(rating.because, "down to 60 % charge only"));
  CHECK(rating.usable_capacity_ah.value() == Approx(4.0).margin(0.02));
  CHECK(rating.usable_is_minimum);
}

TEST_CASE("a radio that leaves the air early does not get its share of the capacity") {
  auto run = with_capacity();
  const auto radio = qro_radio();  // 11.0 V
  run.transmit_step(radio, StepEnd::supply_min);
  run.discharge_to(11.0 + 20.0 * 0.01, 20.0, 2.0, Phase::transmit);
  const Rating rating = qro(analyse(run.recording()));
  // (14 - 11 - 20 * 0.03) / 0.396 = 6.06 Ah
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK(rating.usable_capacity_ah.value() == Approx(6.06).margin(0.02));
  CHECK_FALSE(rating.usable_is_minimum);
  CHECK(mentions(rating.because, "61 % of the capacity"));
  CHECK(mentions(rating.because, "supply fell to 11.00 V"));
}

TEST_CASE("where the radio would leave the air is interpolated when no test drove it there") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 10.5;
  run.transmit_step(radio);
  key_down(run, radio,
           1440.0);  // 8 Ah; the limit is crossed at (14 - 10.5 - 0.6) / 0.396 = 7.32 Ah
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK(rating.usable_capacity_ah.value() == Approx(7.323).margin(0.01));
  CHECK_FALSE(rating.usable_is_minimum);
}

TEST_CASE("a radio that no test drove off the air could use at least what was removed") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 9.0;
  run.transmit_step(radio);
  key_down(run, radio, 1530.0);  // 8.5 Ah, and still 10.03 V
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::suits);
  CHECK(rating.usable_capacity_ah.value() == Approx(8.5).margin(0.02));
  CHECK(rating.usable_is_minimum);
}

TEST_CASE("a supply too low from the first test on says nothing of the usable charge") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 13.9;
  run.transmit_step(radio);
  key_down(run, radio, 720.0);
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK_FALSE(rating.usable_capacity_ah);
  CHECK_FALSE(rating.usable_is_minimum);
}

TEST_CASE("a peak that the pack refused leaves a minimum from the test before it") {
  RunBuilder run(kTenAh);
  run.step(StepKind::peak_current).rest(5);
  for (int i = 0; i < 3; ++i) {  // at full, 70 % and 40 % charge
    run.hold(Phase::peak, 20.0, 10.0, 0.5).hold(Phase::recovery, 0.0, 20.0, 1.0);
    run.hold(Phase::discharge, 5.0, 2160.0, 10.0);
  }
  run.full().step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0);
  auto radio = qro_radio();
  radio.supply_min_v = 9.0;
  run.transmit_step(radio, StepEnd::skipped);
  auto& samples = run.recording().samples;
  double last_edge_s = 0.0;
  for (const Sample& sample : samples)
    if (sample.phase == Phase::peak) last_edge_s = *sample.commanded_since_s;
  for (Sample& sample : samples)  // a cell gave up in the third
    if (sample.phase == Phase::peak && sample.commanded_since_s == last_edge_s)
      sample.cell_v = {3.0, 3.0, 2.4, 3.0};
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK(mentions(rating.because, "a cell reached its end-of-discharge voltage"));
  CHECK(rating.usable_capacity_ah.value() == Approx(3.06).margin(0.02));
  CHECK(rating.usable_is_minimum);
}

// IEEE 450 and 1188 practice: replace below 80 % of rating (seen).
TEST_CASE("a worn pack keeps its verdict by voltage, and the rating says how worn it is") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 10.0;
  run.transmit_step(radio);
  key_down(run, radio, 1530.0);
  run.recording().pack.rated_capacity_ah = 12.4;
  CHECK_FALSE(mentions(qro(analyse(run.recording())).because, "label"));
  run.recording().pack.rated_capacity_ah = 13.7;
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::suits);
  CHECK(mentions(rating.because, "above its lower limit; the pack holds 73 % of its label."));
}

TEST_CASE("a pack that lets a peak go early does not suit a radio with such peaks") {
  RunBuilder run(kTenAh);
  run.step(StepKind::peak_current).rest(5);
  run.hold(Phase::peak, 15.0, 10.0, 0.5).hold(Phase::recovery, 0.0, 20.0, 1.0);
  run.hold(Phase::peak, 18.0, 10.0, 0.5).hold(Phase::recovery, 0.0, 20.0, 1.0);
  for (Sample& sample : run.recording().samples)
    if (sample.commanded_a == 18.0 && sample.time_s > *sample.commanded_since_s + 2.0) {
      sample.current_a = 0.0;
      sample.voltage_v = 0.1;
    }
  auto radio = qro_radio();
  radio.supply_min_v = 10.0;
  run.transmit_step(radio, StepEnd::skipped);
  CHECK(qro(analyse(run.recording())).verdict == Verdict::does_not_suit);
  CHECK(mentions(qro(analyse(run.recording())).because,
                 "peak of 18.0 A at 100 % charge was let go early: the protection board opened"));
  radio.transmit_peak_a = 16.0;
  run.last_step().radio = radio;
  CHECK(qro(analyse(run.recording())).verdict == Verdict::not_measured);  // at full charge only
}

TEST_CASE("a protection board that opens under the radio is no suitable pack") {
  auto run = with_capacity();
  run.transmit_step(qro_radio(), StepEnd::protection_board);
  key_down(run, qro_radio(), 180.0);
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK(mentions(rating.because, "protection board opened"));
}

TEST_CASE("what the pack forbids needs no measurement") {
  auto run = with_capacity();
  run.transmit_step(qro_radio(), StepEnd::skipped);
  SECTION("its limit") {
    run.recording().pack.max_discharge_current_a = 15.0;
    CHECK(mentions(qro(analyse(run.recording())).because, "discharge limit of 15.0 A"));
  }
  SECTION("its fuse") {
    run.recording().pack.fuse_a = 15.0;
    CHECK(mentions(qro(analyse(run.recording())).because, "fuse of 15.0 A"));
  }
  CHECK(qro(analyse(run.recording())).verdict == Verdict::does_not_suit);
}

TEST_CASE("a full pack above the radio's upper limit does not suit") {
  auto run = with_capacity();
  auto radio = qro_radio();
  radio.supply_min_v = 10.0;
  radio.supply_max_v = 13.9;
  run.transmit_step(radio);
  key_down(run, radio, 1530.0);
  const Rating rating = qro(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK(rating.because == "The full pack rests at 14.00 V; the radio bears 13.90 V.");
}

TEST_CASE("a radio whose step was never run is not rated") {
  auto run = with_capacity();
  run.transmit_step(qrp_radio(), StepEnd::skipped);
  const Rating rating = qrp(analyse(run.recording()));
  CHECK(rating.verdict == Verdict::not_measured);
  CHECK_FALSE(rating.margin_v);
  CHECK_FALSE(rating.usable_capacity_ah);
}

TEST_CASE("transmitting is told with its currents and its lowest supply") {
  RunBuilder run({.full_v = 13.0, .fall_v_per_ah = 0.0, .ohm = 0.05});
  run.transmit_step(qro_radio());
  run.hold(Phase::receive, 1.0, 30.0, 1.0).hold(Phase::transmit, 20.0, 10.0, 1.0);
  const auto found = analyse(run.recording()).on_air;
  REQUIRE(found.size() == 1);
  CHECK(found[0].hours * 3600.0 == Approx(40.0));
  CHECK(found[0].charge_ah * 3600.0 == Approx(230.0));
  CHECK(found[0].mean_current_a == Approx(5.75));
  CHECK(found[0].rms_current_a == Approx(std::sqrt((30.0 + 4000.0) / 40.0)));
  CHECK(found[0].peak_current_a == Approx(20.0));
  CHECK(found[0].lowest_supply_v == Approx(13.0 - 1.0 - 0.2));
  CHECK(found[0].mode == Mode::cw);
}

}  // namespace
}  // namespace sagbench::analysis
