#include "analysis/circuit_fit.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "analysis/circuit_choice.hpp"
#include "analysis/pulse_train.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::lfp_pack;
using testing::mentions;

/// Peaks of `hold_s` from rest with a recovery of `rest_s`, their voltage from the textbook
/// response of each branch to a step: R I (1 - exp(-t / tau)) under current, and its decay after.
/// Exact, and no recursion as in the program.
Recording pulsed(double r0_ohm, const std::vector<Branch>& branches, double hold_s, double rest_s) {
  Recording recording;
  recording.pack = lfp_pack();
  recording.steps.emplace_back().kind = StepKind::peak_current;
  std::vector<double> edges_s;
  const std::vector<double> currents_a = {5.0, 10.0, 20.0};
  double removed_ah = 0.0;
  const auto add = [&](double time_s, double current_a, double edge_s, Phase phase) {
    double voltage_v = 13.2 - 0.05 * removed_ah - r0_ohm * current_a;
    for (const Branch& branch : branches)
      for (std::size_t i = 0; i < edges_s.size(); ++i) {
        const double on_s = std::max(0.0, time_s - edges_s[i]);
        const double off_s = std::max(0.0, on_s - hold_s);
        voltage_v -= branch.r_ohm * currents_a[i] *
                     (std::exp(-off_s / branch.tau_s) - std::exp(-on_s / branch.tau_s));
      }
    Sample sample;
    sample.time_s = time_s;
    sample.voltage_v = voltage_v;
    sample.current_a = sample.commanded_a = current_a;
    sample.commanded_since_s = edge_s;
    sample.phase = phase;
    recording.samples.push_back(sample);
  };
  add(0.0, 0.0, 0.0, Phase::rest);
  double start_s = 0.03;
  for (const double current_a : currents_a) {
    edges_s.push_back(start_s);
    const double before_ah = removed_ah;
    for (double t = 0.05; t < hold_s; t += 0.1) {
      removed_ah = before_ah + current_a * t / 3600.0;
      add(start_s + t, current_a, start_s, Phase::peak);
    }
    removed_ah = before_ah + current_a * hold_s / 3600.0;
    for (double t = 0.05; t < rest_s; t += 0.1)
      add(start_s + hold_s + t, 0.0, start_s + hold_s, Phase::recovery);
    start_s += hold_s + rest_s;
  }
  return recording;
}

TEST_CASE("one branch comes back as it was") {
  const auto recording = pulsed(0.02, {{0.01, 4.0}}, 10.0, 30.0);
  const auto circuit = fit_circuit(pulse_trains(recording));
  REQUIRE(circuit);
  REQUIRE(circuit->branches.size() == 1);
  CHECK(circuit->r0_ohm == Approx(0.02).epsilon(1e-4));
  CHECK(circuit->branches[0].r_ohm == Approx(0.01).epsilon(1e-3));
  CHECK(circuit->branches[0].tau_s == Approx(4.0).epsilon(1e-3));
  CHECK(circuit->residual_rms_v < 1e-6);
}

TEST_CASE("two branches come back as they were") {
  const auto recording = pulsed(0.02, {{0.004, 0.8}, {0.01, 12.0}}, 10.0, 30.0);
  const auto circuit = fit_circuit(pulse_trains(recording));
  REQUIRE(circuit);
  REQUIRE(circuit->branches.size() == 2);
  CHECK(circuit->r0_ohm == Approx(0.02).epsilon(1e-3));
  CHECK(circuit->branches[0].r_ohm == Approx(0.004).epsilon(5e-3));
  CHECK(circuit->branches[0].tau_s == Approx(0.8).epsilon(5e-3));
  CHECK(circuit->branches[1].r_ohm == Approx(0.01).epsilon(5e-3));
  CHECK(circuit->branches[1].tau_s == Approx(12.0).epsilon(5e-3));
}

TEST_CASE("a voltage that has nothing to do with the current gets no circuit") {
  auto recording = pulsed(0.0, {}, 10.0, 30.0);
  for (Sample& sample : recording.samples)
    sample.voltage_v = 13.0 + 0.2 * std::sin(7.0 * sample.time_s);
  CHECK_FALSE(fit_circuit(pulse_trains(recording)));
}

TEST_CASE("a voltage that rises under current gets no circuit") {
  const auto circuit = fit_circuit(pulse_trains(pulsed(-0.02, {{0.01, 4.0}}, 10.0, 30.0)));
  CHECK_FALSE(circuit);
  CHECK(mentions(circuit.why(), "positive"));
}

TEST_CASE("without peaks, or with few readings, there is a reason instead") {
  CHECK(fit_circuit({}).why() == "the run has no held peaks");
  auto recording = pulsed(0.02, {{0.01, 4.0}}, 10.0, 30.0);
  recording.samples.resize(20);
  CHECK(mentions(fit_circuit(pulse_trains(recording)).why(), "too few"));
}

TEST_CASE("a pack without sag gets no circuit and no crash") {
  auto recording = pulsed(0.0, {}, 10.0, 30.0);
  for (Sample& sample : recording.samples) sample.voltage_v = 13.0;
  CHECK_FALSE(fit_circuit(pulse_trains(recording)));
}

TEST_CASE("a protection board that opens ends the train") {
  auto recording = pulsed(0.02, {{0.01, 4.0}}, 10.0, 30.0);
  const auto whole = pulse_trains(recording).at(0).size();
  for (Sample& sample : recording.samples)
    if (sample.commanded_a == 20.0 && sample.time_s > *sample.commanded_since_s + 5.0) {
      sample.current_a = 0.0;
      sample.voltage_v = 0.0;
    }
  const auto trains = pulse_trains(recording);
  CHECK(trains.at(0).size() < whole);
  CHECK(fit_circuit(std::span(trains).first(1))->r0_ohm == Approx(0.02).epsilon(1e-3));
}

TEST_CASE("a circuit that follows the peaks poorly is refused with how poorly") {
  auto recording = pulsed(0.02, {{0.01, 4.0}}, 10.0, 30.0);  // 0.6 V of sag: 12 mV would do
  const auto disturbed = [&](double by_v) {
    auto copy = recording;
    for (std::size_t i = 0; i < copy.samples.size(); ++i)
      copy.samples[i].voltage_v += i % 2 == 0 ? by_v : -by_v;
    return fit_circuit(pulse_trains(copy));
  };
  CHECK(disturbed(0.009));
  CHECK(mentions(disturbed(0.016).why(), "misses the peaks by 16."));
}

/// `later` as a step of its own after `first`, with so much removed before.
Recording joined(Recording first, const Recording& later, double removed_ah) {
  const double shift_s = first.samples.back().time_s + 100.0;
  first.steps.push_back(later.steps.front());
  first.steps.back().charge_before_ah = removed_ah;
  for (Sample sample : later.samples) {
    sample.time_s += shift_s;
    sample.commanded_since_s = *sample.commanded_since_s + shift_s;
    sample.step = 1;
    first.samples.push_back(sample);
  }
  return first;
}

TEST_CASE("the circuit is that of the tested charge nearest to half") {
  const auto full = pulsed(0.02, {{0.01, 4.0}}, 10.0, 30.0);
  auto at_40 = pulsed(0.03, {{0.02, 4.0}}, 10.0, 30.0);
  const auto chosen = [&] {
    const auto recording = joined(full, at_40, 6.0);
    return circuit_near_half_charge(recording, ChargeState(recording, 10.0));
  };
  REQUIRE(chosen());
  CHECK(chosen()->charge.value() == Approx(0.4));
  CHECK(chosen()->r0_ohm == Approx(0.03).epsilon(1e-3));
  SECTION("or of another where that one does not fit") {
    for (std::size_t i = 0; i < at_40.samples.size(); i += 2) at_40.samples[i].voltage_v += 0.2;
    CHECK(chosen()->charge.value() == Approx(1.0));
    CHECK(chosen()->r0_ohm == Approx(0.02).epsilon(1e-3));
  }
}

}  // namespace
}  // namespace sagbench::analysis
