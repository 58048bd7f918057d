// What a verdict rests on, what it risks and what would change it.

#include <algorithm>
#include <cmath>
#include <string>

#include "analysis/rating.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::qro_radio;
using testing::RunBuilder;

/// Peaks of 15 A held at full, 60 % and 20 % charge, a capacity of 10 Ah, and a radio of 20 A that
/// needs `limit_v`. At 20 % charge the supply is about 14 - 8 * 0.396 - 20 * (0.02 + 0.01) = 10.23
/// V.
RunBuilder tested_for(double limit_v) {
  RunBuilder run({.full_v = 14.0, .fall_v_per_ah = 0.396, .ohm = 0.02});
  run.step(StepKind::rest).rest(10);
  run.step(StepKind::peak_current);
  for (const double travel_s : {2880.0, 2800.0, 0.0}) {
    run.hold(Phase::peak, 15.0, 10.0, 0.5).hold(Phase::recovery, 0.0, 20.0, 1.0);
    run.hold(Phase::discharge, 5.0, travel_s, 10.0);
  }
  run.full().step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0);
  auto radio = qro_radio();
  radio.supply_min_v = limit_v;
  run.transmit_step(radio, StepEnd::skipped);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.0, 0.0005, 20.0};  // 10 mV
  return run;
}

Rating rated(RunBuilder& run) {
  return analyse(run.recording()).ratings.at(1);
}

Rating rated(RunBuilder& run, const Radio& radio) {
  run.last_step().radio = radio;
  return rated(run);
}

std::string joined(const std::vector<std::string>& phrases) {
  std::string text;
  for (const std::string& phrase : phrases) text += phrase + "|";
  return text;
}

/// The number behind these words, in whatever unit it stands.
double number_after(const Rating& rating, const std::string& words) {
  const std::string text = joined(rating.would_change);
  CAPTURE(text, words);
  const auto at = text.find(words);
  REQUIRE(at != std::string::npos);
  return std::stod(text.substr(at + words.size()));
}

TEST_CASE("a verdict lists the figures it rests on, and where they were measured") {
  auto run = tested_for(10.0);
  const Rating rating = rated(run);
  REQUIRE(rating.verdict == Verdict::suits);
  const std::string facts = joined(rating.facts);
  CAPTURE(facts);
  CHECK(mentions(facts, "under 20.0 A at 20 % charge (under held peaks, step 2)"));
  CHECK(mentions(facts, "the radio needs 10.00 V behind 10.0 mohm of cable"));
  CHECK(mentions(facts, "tested down to 20 % charge"));
  CHECK(mentions(facts, "measured in step 3."));
  CHECK(mentions(facts, "The full pack rests at 14.000 +/- 0.012 V (first readings of the run)"));
  CHECK(mentions(facts, "The pack's discharge limit is 30.0 A"));
  CHECK_FALSE(rating.margin_budget.terms.empty());
  CHECK(kCoverageFactor * rating.margin_budget.combined() ==
        Approx(rating.margin_v->expanded_uncertainty));
}

TEST_CASE("a verdict that accepts tells the risk of accepting wrongly") {
  auto run = tested_for(10.0);
  Rating rating = rated(run);
  REQUIRE(rating.conformance);
  CHECK(false_accept_risk(*rating.conformance) <= 2.0 * kLeastRisk + 1e-12);  // two requirements
  CHECK(mentions(risk_words(rating), "accepting it wrongly: 0.02 % at most"));
  // Just beyond the guard band it is that of two standard deviations.
  auto radio = qro_radio();
  radio.supply_min_v =
      10.0 + rating.margin_v->value - 1.0001 * rating.margin_v->expanded_uncertainty;
  rating = rated(run, radio);
  REQUIRE(rating.verdict == Verdict::suits);
  CHECK(false_accept_risk(*rating.conformance) == Approx(0.0228).margin(0.0003));
}

TEST_CASE("other verdicts tell the risk of rejecting, or the probability of conforming") {
  auto run = tested_for(10.5);
  Rating rating = rated(run);
  REQUIRE(rating.verdict == Verdict::does_not_suit);
  CHECK(false_reject_risk(*rating.conformance) == kLeastRisk);
  CHECK(mentions(risk_words(rating), "rejecting it wrongly: 0.01 % at most"));
  auto radio = qro_radio();
  radio.supply_min_v = 10.5 + rating.margin_v->value;
  rating = rated(run, radio);
  REQUIRE(rating.verdict == Verdict::marginal);
  CHECK(rating.conformance->at_most == Approx(0.5).margin(0.01));
  CHECK(mentions(risk_words(rating), "Probability that it conforms: 50 %"));
}

TEST_CASE("a verdict by what is stated has no probability") {
  auto run = tested_for(10.0);
  run.recording().pack.fuse_a = 15.0;
  const Rating rating = rated(run);
  CHECK(rating.verdict == Verdict::does_not_suit);
  CHECK_FALSE(rating.conformance);
  CHECK(mentions(rating.conformance.why(), "not on a measured margin"));
  CHECK(risk_words(rating).empty());
  CHECK(joined(rating.would_change) == "a radio with peaks of 15.0 A or less|");
}

TEST_CASE("what a rejected pack lacks is enough, and hardly more than enough") {
  auto run = tested_for(10.3);
  const Rating rating = rated(run);
  REQUIRE(rating.verdict == Verdict::does_not_suit);
  Radio enough = run.last_step().radio.value();
  Radio short_of_it = enough;
  SECTION("another cable") {
    enough.cable_ohm = number_after(rating, "a cable of ") / 1000.0;
    short_of_it.cable_ohm = enough.cable_ohm + 0.0002;
  }
  SECTION("another radio") {
    enough.supply_min_v = number_after(rating, "a radio that needs ");
    short_of_it.supply_min_v = enough.supply_min_v + 0.02;
  }
  SECTION("smaller peaks") {
    enough.transmit_peak_a = number_after(rating, "peaks of ");
    short_of_it.transmit_peak_a = enough.transmit_peak_a + 0.2;
  }
  CHECK(rated(run, enough).verdict == Verdict::suits);
  CHECK(rated(run, short_of_it).verdict != Verdict::suits);
}

TEST_CASE("a lack beyond the whole cable's drop is said to be so") {
  auto run = tested_for(10.6);
  CHECK(
      mentions(joined(rated(run).would_change), "no cable would do, since this one takes 0.20 V"));
}

TEST_CASE("what an accepted pack has to spare is there, and no more") {
  auto run = tested_for(10.14);
  const Rating rating = rated(run);
  REQUIRE(rating.verdict == Verdict::suits);
  Radio within = run.last_step().radio.value();
  Radio beyond = within;
  SECTION("another cable") {
    const double ohm = number_after(rating, "a cable above ") / 1000.0;
    within.cable_ohm = ohm - 0.0001;
    beyond.cable_ohm = ohm + 0.0002;
  }
  SECTION("another radio") {
    const double limit_v = number_after(rating, "needs more than ");
    within.supply_min_v = limit_v - 0.001;
    beyond.supply_min_v = limit_v + 0.011;
  }
  SECTION("larger peaks") {
    const double peak_a = number_after(rating, "peaks above ");
    within.transmit_peak_a = peak_a - 0.01;
    beyond.transmit_peak_a = peak_a + 0.15;
  }
  CHECK(rated(run, within).verdict == Verdict::suits);
  CHECK(rated(run, beyond).verdict == Verdict::marginal);
}

TEST_CASE("larger peaks than were tested are not promised") {
  auto run = tested_for(9.0);
  CHECK(mentions(joined(rated(run).would_change),
                 "peaks above 22.5 A (larger ones were not tested)"));
  run.recording().pack.max_discharge_current_a = 21.0;
  CHECK(mentions(joined(rated(run).would_change), "peaks above 21.0 A (pack limit)"));
}

TEST_CASE("of several faults each is told with its own remedies") {
  auto run = tested_for(10.3);
  auto radio = qro_radio();
  radio.supply_min_v = 10.3;
  radio.supply_max_v = 13.9;
  const Rating rating = rated(run, radio);
  const std::string changes = joined(rating.would_change);
  CAPTURE(changes);
  CHECK(mentions(changes, "for its supply: "));
  CHECK(mentions(changes, "for its full voltage: a radio that bears more than 14.02 V"));
}

TEST_CASE("a radio that left the air early lacks ampere-hours") {
  auto run = tested_for(10.0);
  run.last_step().end = StepEnd::supply_min;
  run.last_step().charge_before_ah = 0.0;
  run.full().hold(Phase::transmit, 20.0, 900.0, 5.0);  // 5 Ah
  SECTION("of a measured capacity") {
    const Rating rating = rated(run);
    REQUIRE(rating.verdict == Verdict::does_not_suit);
    CHECK(mentions(joined(rating.facts),
                   "left the air after 5.00 Ah, 50 % of the capacity (step 4)"));
    const double more_ah = std::stod(rating.would_change.front().substr(
        rating.would_change.front().find_first_of("0123456789")));
    // 80 % of 10 Ah, and 0.3 % of that for the doubt about the voltage at the capacity's end.
    CHECK(more_ah == Approx(3.0).margin(0.05));
    CHECK(more_ah > 3.0);
  }
  SECTION("of a rated one") {
    for (Step& step : run.recording().steps)
      if (step.kind == StepKind::capacity) step.end = StepEnd::completed;
    CHECK(mentions(joined(rated(run).would_change),
                   "a capacity step in the run: full charge is known to 23 % only"));
  }
}

TEST_CASE("a rating that was not measured names the test it lacks") {
  SECTION("deeper") {
    RunBuilder run({.full_v = 14.0, .fall_v_per_ah = 0.396, .ohm = 0.02});
    run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 15.0, 10.0, 0.5);
    run.transmit_step(qro_radio(), StepEnd::skipped);
    const Rating rating = rated(run);
    CHECK(rating.verdict == Verdict::not_measured);
    CHECK(joined(rating.would_change) ==
          "a test of the sag at 20 % charge or below; the lowest was at 100 %|");
  }
  SECTION("larger") {
    RunBuilder run({.full_v = 14.0, .fall_v_per_ah = 0.396, .ohm = 0.02});
    run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 10.0, 10.0, 0.5);
    run.transmit_step(qro_radio(), StepEnd::skipped);
    CHECK(mentions(joined(rated(run).would_change), "held peaks of 13.4 A or more"));
  }
  SECTION("any") {
    RunBuilder run;
    run.step(StepKind::rest).rest(10);
    const Rating rating = rated(run);
    CHECK(joined(rating.would_change) == "a transmit step with a QRO radio in the plan|");
    CHECK(rating.conformance.why() == "there is no verdict");
  }
}

}  // namespace
}  // namespace sagbench::analysis
