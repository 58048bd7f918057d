// Resistances beside the two-current method: steps, cells, contacts, lead-acid, repeatability.

#include <cmath>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/repeatability.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

constexpr double kOhm = 0.02;

RunBuilder flat_pack() {
  return RunBuilder({.full_v = 13.0, .fall_v_per_ah = 0.0, .ohm = kOhm});
}

/// A rest and a peak, its first reading 5 ms after the edge.
void peak(RunBuilder& run, double current_a, double seconds) {
  run.hold(Phase::recovery, 0.0, 10.0, 1.0);
  run.hold(Phase::peak, current_a, seconds, 0.005);
}

std::vector<StepResistance> steps_of_run(RunBuilder& run) {
  return *analyse(run.recording()).resistances.steps;
}

/// A branch of `ohm` and `tau_s` under the peaks, as it charges up from nothing at each edge.
void add_branch(Recording& recording, double ohm, double tau_s) {
  for (Sample& sample : recording.samples)
    sample.voltage_v -= sample.current_a * ohm *
                        (1.0 - std::exp(-(sample.time_s - *sample.commanded_since_s) / tau_s));
}

// A resistance of 20 mohm with one branch of 10 mohm and 8 s under 10 A. By hand:
//   10 ms: 20 + 10 (1 - e^(-0.00125)) = 20.0125 mohm; 1 s: 21.1750; 10 s: 27.1350; 30 s: 29.7648.
TEST_CASE("a step of current gives the resistance of a known circuit at each time") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  peak(run, 10.0, 31.0);
  add_branch(run.recording(), 0.010, 8.0);
  const auto steps = analyse(run.recording()).resistances.steps;
  REQUIRE(steps);
  REQUIRE(steps->size() == 1);
  const StepResistance& step = steps->front();
  CHECK(step.current_a == Approx(10.0));
  const double expected[] = {0.0200125, 0.0211750, 0.0271350, 0.0297648};
  REQUIRE(step.points.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    CAPTURE(step.points[i].after_s);
    REQUIRE(step.points[i].ohm);
    CHECK(step.points[i].ohm->value == Approx(expected[i]).epsilon(1e-5));
    CHECK(step.points[i].read_after_s == Approx(kStepTimes_s[i]));
  }
}

TEST_CASE("a time that a step did not last, or that was not read, has a reason instead") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  SECTION("let go after 5 s") {
    peak(run, 10.0, 5.0);
    const auto steps = analyse(run.recording()).resistances.steps;
    REQUIRE(steps);
    CHECK(steps->front().points[1].ohm);
    CHECK_FALSE(steps->front().points[2].ohm);
    CHECK(mentions(steps->front().points[2].ohm.why(), "did not stand that long"));
  }
  SECTION("the first reading came late: it says how old it is") {
    run.rest(10).hold(Phase::peak, 10.0, 12.0, 0.25);
    const auto points = steps_of_run(run).front().points;
    REQUIRE(points[0].ohm);
    CHECK(points[0].read_after_s == Approx(0.25));
  }
  SECTION("later than the next time asked for") {
    run.rest(10).hold(Phase::peak, 10.0, 12.0, 4.0);
    const auto points = steps_of_run(run).front().points;
    CHECK(mentions(points[0].ohm.why(), "the first reading came 4.0 s"));
    CHECK(points[1].ohm);
    CHECK(points[1].read_after_s == Approx(4.0));
  }
  SECTION("nothing was read near it") {
    run.rest(10).hold(Phase::peak, 10.0, 8.0, 8.0).hold(Phase::peak, 10.0, 32.0, 32.0);
    run.recording().samples.back().commanded_since_s =
        run.recording().samples[run.recording().samples.size() - 2].commanded_since_s;
    const auto points = steps_of_run(run).front().points;
    CHECK(mentions(points[2].ohm.why(), "no reading came near"));
    REQUIRE(points[3].ohm);
    CHECK(points[3].read_after_s == Approx(40.0));
  }
}

TEST_CASE("without a current that comes on after a rest there is no step") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  SECTION("never on") {
    run.rest(60);
  }
  SECTION("on from the first sample") {
    run.hold(Phase::peak, 10.0, 5.0, 0.1);
  }
  SECTION("a radio's pattern") {
    run.rest(5).hold(Phase::transmit, 10.0, 5.0, 0.1);
  }
  CHECK(mentions(analyse(run.recording()).resistances.steps.why(), "no current came on"));
}

// JCGM 100:2008, 5.1.2, by hand: gains of 0.3 % and 0.4 %, rectangular, make
// 20 mohm hypot(0.003, 0.004) / sqrt 3; twice that is the expanded uncertainty.
TEST_CASE("of a step the gains are in doubt, the offsets are not") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  peak(run, 10.0, 11.0);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.003, 0.01, 60.0};
  run.recording().accuracy.load_current = AccuracyTerm{0.004, 0.01, 30.0};
  const auto steps = analyse(run.recording()).resistances.steps;
  REQUIRE(steps);
  CHECK(steps->front().points[2].ohm->expanded_uncertainty ==
        Approx(2.0 * kOhm * 0.005 / std::sqrt(3.0)).epsilon(1e-6));
}

TEST_CASE("a pack that was still recovering leaves the later times in doubt") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  peak(run, 10.0, 11.0);
  for (Sample& sample : run.recording().samples)
    sample.voltage_v += 0.001 * sample.time_s;  // 1 mV a second, 10 mV in 10 s: 1 mohm at 10 A
  const auto steps = analyse(run.recording()).resistances.steps;
  REQUIRE(steps);
  const StepPoint& at_10_s = steps->front().points[2];
  CHECK(at_10_s.ohm->value == Approx(kOhm - 0.001).epsilon(0.02));
  CHECK(std::abs(at_10_s.ohm->value - kOhm) <= at_10_s.ohm->expanded_uncertainty);
}

// JCGM 100:2008, H.2, Table H.2: V = 5.007, 4.994, 5.005, 4.990, 4.999 V has the mean 4.9990 V and
// the standard uncertainty of the mean 0.0032 V (full: 3.2093613e-3).
TEST_CASE("repeatability is that of the GUM's voltages") {
  const double volts[] = {5.007, 4.994, 5.005, 4.990, 4.999};
  const auto found = repeatability(volts);
  REQUIRE(found);
  CHECK(found->mean == Approx(4.9990).epsilon(1e-9));
  CHECK(of_mean(*found) == Approx(3.2093613e-3).epsilon(1e-7));
  CHECK(found->count == 5);
  CHECK_FALSE(repeatability(std::span(volts).first(1)));
}

TEST_CASE("peaks of one state of charge tell how a step repeats") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  for (const double off_v : {0.0, 0.010, -0.010}) {
    peak(run, 10.0, 2.0);
    for (auto sample = run.recording().samples.end() - 400; sample != run.recording().samples.end();
         ++sample)
      sample->voltage_v -= off_v;
  }
  const auto repeated = analyse(run.recording()).resistances.repeatability;
  REQUIRE(repeated.size() == 2);  // 10 ms and 1 s
  CHECK(repeated[1].after_s == Approx(1.0));
  CHECK(repeated[1].ohm.mean == Approx(kOhm));
  CHECK(repeated[1].ohm.standard_deviation == Approx(0.001));  // of 0, +1 and -1 mohm
  CHECK(repeated[1].ohm.count == 3);
}

/// The load sees the pack through leads, and reads `offset_v` less.
void add_load_voltage(Recording& recording, double leads_ohm, double offset_v) {
  for (Sample& sample : recording.samples)
    sample.load_voltage_v = sample.voltage_v - leads_ohm * sample.current_a - offset_v;
}

// Copper wire, ASTM B258 and 1/58 ohm mm2/m (IEC 60028): 4 m of AWG 12 have 20.84 mohm.
TEST_CASE("two voltmeters tell the leads, and their offset is not resistance") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  peak(run, 10.0, 2.0);
  peak(run, 20.0, 2.0);
  const double leads_ohm = 4.0 * 5.210693e-3;
  add_load_voltage(run.recording(), leads_ohm, 0.015);
  auto contact = analyse(run.recording()).resistances.contact;
  REQUIRE(contact);
  CHECK(contact->ohm.value == Approx(0.02084).epsilon(1e-3));
  CHECK(contact->ohm.value == Approx(leads_ohm).epsilon(1e-9));
  CHECK(contact->offset_v.value == Approx(0.015).epsilon(1e-9));

  // A gain of the load's voltage acts by how the voltage itself falls with the current.
  run.recording().accuracy.load_voltage = AccuracyTerm{0.01, 0.0, 60.0};
  for (Sample& sample : run.recording().samples) *sample.load_voltage_v *= 1.01;
  contact = analyse(run.recording()).resistances.contact;
  CHECK(std::abs(contact->ohm.value - leads_ohm) ==
        Approx(0.01 * (kOhm + leads_ohm)).epsilon(0.01));
  CHECK(std::abs(contact->ohm.value - leads_ohm) <= contact->ohm.expanded_uncertainty);
  CHECK(contact->offset_v.value == Approx(0.015 - 0.01 * 12.985).epsilon(1e-3));
}

TEST_CASE("leads that cannot be told have a reason instead") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  SECTION("one voltmeter") {
    peak(run, 10.0, 2.0);
    CHECK(mentions(analyse(run.recording()).resistances.contact.why(), "meter beside the load"));
  }
  SECTION("one current") {
    run.hold(Phase::discharge, 10.0, 60.0, 1.0);
    add_load_voltage(run.recording(), 0.02, 0.0);
    CHECK(mentions(analyse(run.recording()).resistances.contact.why(), "did not change"));
  }
  SECTION("few readings") {
    run.rest(2).hold(Phase::peak, 10.0, 2.0, 1.0);
    add_load_voltage(run.recording(), 0.02, 0.0);
    CHECK(mentions(analyse(run.recording()).resistances.contact.why(), "too few readings"));
  }
}

TEST_CASE("each tapped cell has its own resistance") {
  auto run = flat_pack();
  run.step(StepKind::peak_current);
  run.hold(Phase::recovery, 0.0, 10.0, 1.0).hold(Phase::peak, 10.0, 10.0, 0.5);
  run.hold(Phase::recovery, 0.0, 10.0, 1.0).hold(Phase::peak, 20.0, 10.0, 0.5);
  SECTION("tapped") {
    for (Sample& sample : run.recording().samples)
      sample.cell_v = {3.3 - 0.004 * sample.current_a, 3.3 - 0.009 * sample.current_a};
    const auto cells = analyse(run.recording()).resistances.cells;
    REQUIRE(cells);
    REQUIRE(cells->size() == 2);
    CHECK(cells->at(0).ohm.value == Approx(0.004));
    CHECK(cells->at(1).ohm.value == Approx(0.009));
    CHECK(cells->at(1).cell == 2);
    CHECK(cells->at(1).after_s == Approx(10.0));
    REQUIRE(cells->at(1).repeatability);
    CHECK(cells->at(1).repeatability->count == 2);
  }
  SECTION("read only before") {
    for (Sample& sample : run.recording().samples)
      if (sample.current_a == 0.0) sample.cell_v = {3.3, 3.3};
    CHECK(mentions(analyse(run.recording()).resistances.cells.why(), "were not read both"));
  }
  SECTION("not tapped") {
    CHECK(mentions(analyse(run.recording()).resistances.cells.why(), "no cell was tapped"));
  }
}

/// 7 Ah at ten hours: 4 I10 = 2.8 A for 20 s, a break, 20 I10 = 14 A for 5 s.
RunBuilder lead_acid_run(double full_v, double ohm, double break_s = 120.0) {
  RunBuilder run({.full_v = full_v, .fall_v_per_ah = 0.0, .ohm = ohm});
  run.recording().pack.chemistry = Chemistry::agm;
  run.recording().pack.series = 6;
  run.recording().pack.rated_capacity_ah = 7.0;
  run.step(StepKind::rest);
  run.hold(Phase::low_current, 2.8, 20.0, 0.25);
  if (break_s > 0.0) run.hold(Phase::recovery, 0.0, break_s, 1.0);
  run.hold(Phase::high_current, 14.0, 5.0, 0.25);
  return run;
}

// IEC 60896-21:2004, 6.3 (currents, times and formula from memory; numbers worked outside this
// program): 2.8 A and 12.40 V, 14.0 A and 11.90 V give 44.642857 mohm, 12.525 V and 280.56 A.
TEST_CASE("two points give the worked resistance and short-circuit current") {
  const double ohm = 0.5 / 11.2;
  auto run = lead_acid_run(12.525, ohm);
  CHECK(run.voltage_v(2.8) == Approx(12.40));
  CHECK(run.voltage_v(14.0) == Approx(11.90));
  const auto found = analyse(run.recording()).resistances.two_point;
  REQUIRE(found);
  CHECK(found->ohm.value == Approx(0.044642857).epsilon(1e-7));
  CHECK(found->open_circuit_v.value == Approx(12.525).epsilon(1e-9));
  CHECK(found->short_circuit_a.value == Approx(280.56).epsilon(1e-6));
}

// Each instrument's error by itself, put into the formulas: what comes out must be what the budget
// says of half its width.
TEST_CASE("an error of an instrument moves the two-point figures as the budget says") {
  const double ohm = 0.5 / 11.2;
  const auto sound = lead_acid_run(12.525, ohm).recording();
  const auto truth = *analyse(sound).resistances.two_point;
  auto recording = sound;
  SECTION("gain of the voltage") {
    recording.accuracy.meter_voltage = AccuracyTerm{0.001, 0.0, 60.0};
    for (Sample& sample : recording.samples) sample.voltage_v *= 1.001;
  }
  SECTION("offset of the voltage") {
    recording.accuracy.meter_voltage = AccuracyTerm{0.0, 0.001, 10.0};
    for (Sample& sample : recording.samples) sample.voltage_v += 0.01;
  }
  SECTION("gain of the current") {
    recording.accuracy.load_current = AccuracyTerm{0.001, 0.0, 30.0};
    for (Sample& sample : recording.samples) sample.current_a *= 1.001;
  }
  SECTION("offset of the current") {
    recording.accuracy.load_current = AccuracyTerm{0.0, 0.001, 10.0};
    for (Sample& sample : recording.samples) sample.current_a += 0.01;
  }
  const auto found = *analyse(recording).resistances.two_point;
  const auto matches = [](const Measured& wrong, const Measured& right) {
    const double half_width = wrong.expanded_uncertainty / 2.0 * std::sqrt(3.0);
    CHECK(std::abs(wrong.value - right.value) ==
          Approx(half_width).epsilon(0.01).margin(1e-9 * right.value));
  };
  matches(found.ohm, truth.ohm);
  matches(found.open_circuit_v, truth.open_circuit_v);
  matches(found.short_circuit_a, truth.short_circuit_a);
}

TEST_CASE("what is no two-point measurement has a reason instead") {
  SECTION("another chemistry") {
    auto run = lead_acid_run(12.525, 0.04);
    run.recording().pack.chemistry = Chemistry::lfp;
    CHECK(mentions(analyse(run.recording()).resistances.two_point.why(), "lead-acid"));
  }
  SECTION("no break between the currents") {
    auto run = lead_acid_run(12.525, 0.04, 0.0);
    CHECK(mentions(analyse(run.recording()).resistances.two_point.why(), "no two currents"));
  }
  SECTION("a break longer than the standard's") {
    auto run = lead_acid_run(12.525, 0.04, 600.0);
    CHECK(mentions(analyse(run.recording()).resistances.two_point.why(), "no two currents"));
  }
  SECTION("let go early") {
    auto run = lead_acid_run(12.525, 0.04);
    run.recording().samples.resize(run.recording().samples.size() - 4);
    CHECK(mentions(analyse(run.recording()).resistances.two_point.why(), "not held for 20 s"));
  }
  SECTION("the voltage does not fall") {
    auto run = lead_acid_run(12.525, 0.0);
    CHECK(mentions(analyse(run.recording()).resistances.two_point.why(), "did not fall"));
  }
}

}  // namespace
}  // namespace sagbench::analysis
