// The largest peak over charge and duration, by hand.
#include "analysis/capability.hpp"

#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "run_builder.hpp"

using namespace sagbench::analysis;

namespace {

constexpr double kFull_ah = 1000.0;  // so large that a hold removes next to nothing of it

FittedCurve constant(double value, double standard_error = 0.0) {
  return {{0.0, kFull_ah}, {{value, standard_error}, {value, standard_error}}};
}

/// 13.2 V behind 20 milliohm and 10 milliohm with 3 s.
ChargeCircuit circuit() {
  ChargeCircuit found;
  found.source_v = constant(13.2);
  found.r0_ohm = constant(0.02);
  found.branches.push_back({{3.0, 0.0}, constant(0.01)});
  found.longest_s = 20.0;
  found.correlation.assign(49, 0.0);  // two values of source, R0 and R1 each, one time constant
  for (std::size_t i = 0; i < 7; ++i) found.correlation[i * 7 + i] = 1.0;
  return found;
}

/// With a radio that wants 11 V behind 10 milliohm of cable; pack and fuse allow `limit_a`.
Recording recording(double limit_a) {
  Recording run;
  run.pack = testing::lfp_pack();
  run.pack.max_discharge_current_a = run.pack.fuse_a = limit_a;
  Step& step = run.steps.emplace_back();
  step.kind = StepKind::transmit;
  step.radio = testing::qro_radio();
  run.samples.emplace_back().current_a = 100.0;
  return run;
}

const SustainedPeak& at(const std::vector<SustainedPeak>& peaks, double charge, double held_s) {
  const auto found = std::ranges::find_if(peaks, [&](const SustainedPeak& peak) {
    return peak.charge == charge && peak.held_s == held_s;
  });
  REQUIRE(found != peaks.end());
  return *found;
}

}  // namespace

// 2.2 V over 20 + 10 (1 - exp(-t / 3 s)) + 10 milliohm: 30.327, 32.835, 39.643 milliohm.
TEST_CASE("the current at which the supply is at its minimum when the hold ends") {
  const auto peaks = capability(recording(200.0), circuit(), kFull_ah);
  CHECK(at(peaks, 0.9, 0.1).current_a.value == Approx(2.2 / 0.0303278).epsilon(1e-4));
  CHECK(at(peaks, 0.5, 1.0).current_a.value == Approx(2.2 / 0.0328347).epsilon(1e-4));
  CHECK(at(peaks, 0.1, 10.0).current_a.value == Approx(2.2 / 0.0396433).epsilon(1e-4));
  CHECK(at(peaks, 0.1, 10.0).limited_by == "supply_min");
  for (const SustainedPeak& peak : peaks) CHECK(peak.held_s < 20.0);  // not watched for a minute
  CHECK(peaks.size() == 15);
}

TEST_CASE("what the pack allows holds whatever the voltage") {
  const auto peaks = capability(recording(30.0), circuit(), kFull_ah);
  CHECK(at(peaks, 0.5, 1.0).current_a.value == 30.0);
  CHECK(at(peaks, 0.5, 1.0).current_a.expanded_uncertainty == 0.0);
  CHECK(at(peaks, 0.5, 1.0).limited_by == "pack limit");
}

// dI = I dR / Z: half way between two knots that are each 1 milliohm uncertain, dR is
// 1 / sqrt(2) milliohm without correlation and 1 milliohm with.
TEST_CASE("the uncertainty of a resistance comes through, with its correlation") {
  ChargeCircuit doubtful = circuit();
  doubtful.r0_ohm = constant(0.02, 0.001);
  const double current_a = 2.2 / 0.0396433;
  const auto doubt = [&] {
    return at(capability(recording(200.0), doubtful, kFull_ah), 0.5, 10.0)
        .current_a.expanded_uncertainty;
  };
  CHECK(doubt() == Approx(2.0 * current_a * 0.001 / std::sqrt(2.0) / 0.0396433).epsilon(1e-3));
  doubtful.correlation[2 * 7 + 3] = doubtful.correlation[3 * 7 + 2] = 1.0;
  CHECK(doubt() == Approx(2.0 * current_a * 0.001 / 0.0396433).epsilon(1e-3));
  doubtful.r0_ohm = constant(0.02);
  doubtful.pulse_miss_v = 0.01;
  CHECK(doubt() == Approx(0.01 / 0.0396433).epsilon(1e-3));
}

// 13.2 V - 20 A * 39.643 milliohm; the doubt of R0 alone, times 20 A.
TEST_CASE("the supply under the radio's own peak") {
  ChargeCircuit doubtful = circuit();
  doubtful.r0_ohm = constant(0.02, 0.001);
  const auto peaks = capability(recording(200.0), doubtful, kFull_ah);
  const auto& supply_v = at(peaks, 0.5, 10.0).supply_v;
  REQUIRE(supply_v);
  CHECK(supply_v->value == Approx(13.2 - 20.0 * 0.0396433).epsilon(1e-5));
  CHECK(supply_v->expanded_uncertainty ==
        Approx(2.0 * 20.0 * 0.001 / std::sqrt(2.0)).epsilon(1e-3));
}

TEST_CASE("no current at all where the radio is not supplied at rest") {
  ChargeCircuit flat = circuit();
  flat.source_v = constant(10.9);
  const auto peaks = capability(recording(200.0), flat, kFull_ah);
  CHECK(at(peaks, 0.5, 1.0).current_a.value == Approx(0.0).margin(1e-9));
}

TEST_CASE("nothing is said of charges where no current was seen to change") {
  ChargeCircuit upper = circuit();
  upper.r0_ohm.removed_ah = {100.0, 450.0};  // 90 % and 55 % of charge
  for (const SustainedPeak& peak : capability(recording(200.0), upper, kFull_ah))
    CHECK(peak.charge >= 0.5);
}
