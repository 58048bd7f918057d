// Resistances, circuit and capability of records that are spoilt in one way each: a reason or a
// sound number, never nonsense, never a crash.

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <string>

#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::qrp_radio;
using testing::RunBuilder;

constexpr double kBranch_ohm = 0.01, kTau_s = 3.0;
constexpr std::size_t kCells = 6;

/// A branch besides, worked out reading by reading: the current stood since the reading before.
void relax(Recording& recording) {
  double drop_v = 0.0, before_s = 0.0;
  for (Sample& sample : recording.samples) {
    const double end_v = kBranch_ohm * sample.current_a;
    drop_v = end_v + (drop_v - end_v) * std::exp(-(sample.time_s - before_s) / kTau_s);
    before_s = sample.time_s;
    sample.voltage_v -= drop_v;
  }
}

void watch(Recording& recording) {
  for (Sample& sample : recording.samples) {
    sample.load_voltage_v = sample.voltage_v - 0.004 * sample.current_a;
    sample.cell_v.assign(kCells, sample.voltage_v / static_cast<double>(kCells));
  }
}

/// Lead-acid, with everything that the resistances, the circuit and the capability need.
Recording whole_run() {
  RunBuilder run({.full_v = 12.9, .fall_v_per_ah = 0.2, .ohm = 0.02});
  run.recording().pack.chemistry = Chemistry::agm;
  run.recording().pack.series = static_cast<int>(kCells);
  run.recording().pack.rated_capacity_ah = 7.0;
  run.recording().pack.end_of_discharge_v = 11.0;
  run.step(StepKind::peak_current);
  for (int visit = 0; visit < 3; ++visit) {
    run.rest(30);
    run.hold(Phase::low_current, 2.8, 20.0, 0.25).hold(Phase::recovery, 0.0, 60.0, 1.0);
    run.hold(Phase::high_current, 14.0, 5.0, 0.1).hold(Phase::recovery, 0.0, 30.0, 1.0);
    for (const double current_a : {5.0, 10.0})
      run.hold(Phase::peak, current_a, 10.0, 0.1).hold(Phase::recovery, 0.0, 30.0, 0.5);
    run.hold(Phase::discharge, 2.0, 3600.0, 5.0);
  }
  run.transmit_step(qrp_radio(), StepEnd::skipped);
  relax(run.recording());
  watch(run.recording());
  return run.recording();
}

Figures all_of(const Recording& recording) {
  Figures figures = analyse(recording);
  add_charge_circuit(recording, figures);
  return figures;
}

void check_number(const Measured& measured) {
  CHECK(std::isfinite(measured.value));
  CHECK(std::isfinite(measured.expanded_uncertainty));
  CHECK(measured.expanded_uncertainty >= 0.0);
}

/// No resistance is below nothing by more than twice what is in doubt, or more than any pack has.
void check_ohm(const Measured& ohm) {
  constexpr double kRounding = 1e-9, kMost_ohm = 1.0;
  check_number(ohm);
  CHECK(ohm.value >= -2.0 * ohm.expanded_uncertainty - kRounding);
  CHECK(ohm.value < kMost_ohm);
}

template <class T, class Check>
void check(const Finding<T>& finding, Check check_value) {
  if (finding)
    check_value(*finding);
  else
    CHECK_FALSE(finding.why().empty());
}

void check_circuit(const ChargeCircuit& circuit) {
  const auto check_curve = [](const FittedCurve& curve) {
    for (const Fitted& fitted : curve.values) {
      CHECK(std::isfinite(fitted.value));
      CHECK(std::isfinite(fitted.standard_error));
    }
  };
  check_curve(circuit.source_v);
  check_curve(circuit.r0_ohm);
  for (const ChargeBranch& branch : circuit.branches) {
    check_curve(branch.ohm);
    CHECK(branch.tau_s.value > 0.0);
    CHECK(std::isfinite(branch.tau_s.value));
  }
  for (const double coefficient : circuit.correlation) CHECK(std::abs(coefficient) < 1.0001);
}

void check_interval(const ChargeInterval& interval) {
  CHECK(interval.low <= interval.charge);
  CHECK(interval.charge <= interval.high);
}

void check_charge(const ChargeEstimate& estimate) {
  check(estimate.by_curve, check_interval);
  check(estimate.by_counting, [](const CountedCharge& counted) { check_number(counted.charge); });
  check(estimate.fused, check_interval);
}

void check_open_circuit(const Figures& figures) {
  check(figures.open_circuit, [](const OpenCircuitCurve& curve) {
    for (const OpenCircuitPoint& point : curve.points) check_number(point.voltage_v);
    for (const RestPoint& rest : curve.rests) check_number(rest.voltage_v);
  });
  check(figures.state_of_charge, [](const StateOfCharge& state) {
    check_charge(state.at_start);
    check_charge(state.at_end);
  });
}

void check_sane(const Figures& figures) {
  const Resistances& found = figures.resistances;
  check(found.steps, [](const std::vector<StepResistance>& steps) {
    for (const StepResistance& step : steps)
      for (const StepPoint& point : step.points) check(point.ohm, check_ohm);
  });
  check(found.contact, [](const ContactResistance& contact) {
    check_ohm(contact.ohm);
    check_number(contact.offset_v);
  });
  check(found.cells, [](const std::vector<CellResistance>& cells) {
    for (const CellResistance& cell : cells) check_ohm(cell.ohm);
  });
  check(found.two_point, [](const TwoPointResistance& two_point) {
    check_ohm(two_point.ohm);
    check_number(two_point.short_circuit_a);
    CHECK(two_point.short_circuit_a.value > 0.0);
  });
  check(figures.charge_circuit, check_circuit);
  check_open_circuit(figures);
  for (const SustainedPeak& peak : figures.capability) {
    check_number(peak.current_a);
    CHECK(peak.current_a.value >= 0.0);
    if (peak.supply_v) check_number(*peak.supply_v);
  }
}

void check_nothing(const Figures& figures) {
  CHECK_FALSE(figures.resistances.steps);
  CHECK_FALSE(figures.resistances.contact);
  CHECK_FALSE(figures.resistances.cells);
  CHECK_FALSE(figures.resistances.two_point);
  CHECK_FALSE(figures.charge_circuit);
  CHECK_FALSE(figures.open_circuit);
  CHECK(figures.capability.empty());
}

/// Volts, amperes and ampere-hours alike.
void scale(Recording& recording, double factor) {
  recording.pack.rated_capacity_ah *= factor;
  recording.pack.end_of_discharge_v = *recording.pack.end_of_discharge_v * factor;
  for (Sample& sample : recording.samples) {
    sample.current_a *= factor;
    sample.commanded_a *= factor;
    sample.voltage_v *= factor;
    *sample.load_voltage_v *= factor;
    for (double& cell_v : sample.cell_v) cell_v *= factor;
  }
  for (Step& step : recording.steps) step.charge_before_ah *= factor;
}

struct Spoilt {
  const char* how;
  std::function<void(Recording&)> spoil;
  bool nothing_left = false;
};

const double kNone = std::numeric_limits<double>::quiet_NaN();

std::vector<Spoilt> spoilt_ways() {
  const auto of_each = [](auto change) {
    return [change](Recording& recording) {
      for (Sample& sample : recording.samples) change(sample);
    };
  };
  return {
      {"no sample", [](Recording& r) { r.samples.clear(); }, true},
      {"one sample", [](Recording& r) { r.samples.resize(1); }, true},
      {"a voltage that is none", [](Recording& r) { r.samples[500].voltage_v = kNone; }, true},
      {"a load's voltage that is none", [](Recording& r) { r.samples[500].load_voltage_v = kNone; },
       true},
      {"a cell that is none", [](Recording& r) { r.samples[500].cell_v[2] = kNone; }, true},
      {"a clock that runs backwards", [](Recording& r) { r.samples[500].time_s -= 100.0; }, true},
      {"a pack without a rating", [](Recording& r) { r.pack.rated_capacity_ah = 0.0; }, true},
      {"a giant's scale", [](Recording& r) { scale(r, 1e9); }, true},
      {"a current that never came on", of_each([](Sample& s) { s.current_a = 0.0; }), true},
      {"a current that was never asked for", of_each([](Sample& s) {
         s.current_a = s.commanded_a = 0.0;
         s.phase = Phase::rest;
       }),
       true},
      {"all at one time", of_each([](Sample& s) { s.time_s = s.commanded_since_s.emplace(5.0); })},
      {"a constant voltage", of_each([](Sample& s) {
         s.voltage_v = 12.6;
         s.load_voltage_v = 12.6;
         std::ranges::fill(s.cell_v, 2.1);
       })},
      {"a constant current", of_each([](Sample& s) { s.current_a = 2.0; })},
      {"a charge in the middle",
       [](Recording& r) {
         for (std::size_t i = 300; i < 600; ++i) r.samples[i].current_a = -3.0;
       }},
      {"a current of the wrong sign", of_each([](Sample& s) { s.current_a = -s.current_a; })},
      {"a voltage that rises under current", of_each([](Sample& s) {
         s.voltage_v = 25.2 - s.voltage_v;
         s.load_voltage_v = 25.2 - *s.load_voltage_v;
         for (double& cell_v : s.cell_v) cell_v = 4.2 - cell_v;
       })},
      {"no current behind its setpoint half of the time",
       [](Recording& r) {
         for (std::size_t i = 0; i < r.samples.size(); i += 2) r.samples[i].current_a = 0.0;
       }},
      {"a dwarf's scale", [](Recording& r) { scale(r, 1e-9); }}};
}

TEST_CASE("a sound record has every one of these figures") {
  const Figures figures = all_of(whole_run());
  REQUIRE(figures.resistances.steps);
  REQUIRE(figures.resistances.contact);
  CHECK(figures.resistances.contact->ohm.value == Approx(0.004));
  REQUIRE(figures.resistances.cells);
  REQUIRE(figures.resistances.two_point);
  CAPTURE(figures.charge_circuit.why());
  REQUIRE(figures.charge_circuit);
  CHECK_FALSE(figures.capability.empty());
  check_sane(figures);
}

TEST_CASE("a spoilt record has a reason or a sound number for each") {
  for (const Spoilt& way : spoilt_ways()) {
    CAPTURE(way.how);
    Recording recording = whole_run();
    way.spoil(recording);
    const Figures figures = all_of(recording);
    check_sane(figures);
    if (way.nothing_left) check_nothing(figures);
  }
}

TEST_CASE("a dwarf's pack has the resistances of the usual one") {
  Recording recording = whole_run();
  const Resistances usual = all_of(recording).resistances;
  scale(recording, 1e-9);
  const Resistances dwarf = all_of(recording).resistances;
  REQUIRE(dwarf.steps);
  REQUIRE(dwarf.cells);
  REQUIRE(dwarf.two_point);
  CHECK(dwarf.steps->at(0).points.at(1).ohm->value ==
        Approx(usual.steps->at(0).points.at(1).ohm->value).epsilon(1e-6));
  CHECK(dwarf.cells->at(0).ohm.value == Approx(usual.cells->at(0).ohm.value).epsilon(1e-6));
  CHECK(dwarf.two_point->ohm.value == Approx(usual.two_point->ohm.value).epsilon(1e-6));
}

TEST_CASE("two million readings are no hindrance") {
  constexpr std::size_t kMany = 2'000'000;
  RunBuilder run({.full_v = 12.9, .fall_v_per_ah = 0.2, .ohm = 0.02});
  run.recording().samples.reserve(kMany + 1000);
  run.step(StepKind::peak_current).rest(30);
  run.hold(Phase::peak, 10.0, 10.0, 0.1).hold(Phase::recovery, 0.0, 30.0, 0.5);
  run.hold(Phase::discharge, 2.0, 0.005 * static_cast<double>(kMany), 0.005);
  run.rest(30).hold(Phase::peak, 10.0, 10.0, 0.1).hold(Phase::recovery, 0.0, 30.0, 0.5);
  REQUIRE(run.recording().samples.size() > kMany);
  relax(run.recording());
  // The circuit looks at every reading some twenty times; tests/speed fits one to a third of a
  // million.
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.resistances.steps);
  check_sane(figures);
}

}  // namespace
}  // namespace sagbench::analysis
