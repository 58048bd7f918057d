#include "analysis/two_current_resistance.hpp"

#include <cmath>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

void pulse(RunBuilder& run) {
  run.hold(Phase::low_current, 2.0, 10.0, 0.5).hold(Phase::high_current, 10.0, 1.0, 0.1);
}

// IEC 61960-3:2017, d.c. method, 10 Ah pack: 2.00 A and 13.10 V, 10.00 A and 12.94 V give 20.000
// mohm (clause from memory, arithmetic worked outside this program).
TEST_CASE("two currents give the worked resistance") {
  RunBuilder run({.full_v = 13.14, .fall_v_per_ah = 0.0, .ohm = 0.02});
  run.step(StepKind::peak_current);
  pulse(run);
  CHECK(run.voltage_v(2.0) == Approx(13.10));
  CHECK(run.voltage_v(10.0) == Approx(12.94));
  const auto found = analyse(run.recording()).dc_resistance;
  REQUIRE(found);
  CHECK(found->ohm.value == Approx(0.020000).epsilon(1e-9));
  CHECK(found->method == "IEC 61960-3");
}

TEST_CASE("offsets of the instruments cancel, gains scale") {
  RunBuilder run({.full_v = 13.14, .fall_v_per_ah = 0.0, .ohm = 0.02});
  run.step(StepKind::peak_current);
  pulse(run);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.0, 0.01, 60.0};
  run.recording().accuracy.load_current = AccuracyTerm{0.0, 0.01, 30.0};
  CHECK(analyse(run.recording()).dc_resistance->ohm.expanded_uncertainty ==
        Approx(0.0).margin(1e-9));
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.003, 0.01, 60.0};
  run.recording().accuracy.load_current = AccuracyTerm{0.004, 0.01, 30.0};
  CHECK(analyse(run.recording()).dc_resistance->ohm.expanded_uncertainty ==
        Approx(2.0 * 0.02 * std::hypot(0.003, 0.004) / std::sqrt(3.0)).epsilon(1e-6));
}

TEST_CASE("noise does not cancel") {
  RunBuilder run({.full_v = 13.14, .fall_v_per_ah = 0.0, .ohm = 0.02});
  run.step(StepKind::peak_current);
  pulse(run);
  double sign = 1.0;
  for (Sample& sample : run.recording().samples) sample.voltage_v += 0.001 * (sign = -sign);
  const auto found = analyse(run.recording()).dc_resistance;
  REQUIRE(found);
  // +/-1 mV on differences of 0.16 V; at most 2 mV out over 8 A, and the uncertainty must cover it.
  CHECK(std::abs(found->ohm.value - 0.02) <= found->ohm.expanded_uncertainty);
  CHECK(found->ohm.expanded_uncertainty < 0.001);
}

TEST_CASE("of several pulses the one nearest half charge counts") {
  RunBuilder run({.full_v = 13.14, .fall_v_per_ah = 0.0, .ohm = 0.02});
  run.step(StepKind::peak_current);
  pulse(run);
  run.hold(Phase::discharge, 10.0, 1800.0, 10.0);
  pulse(run);
  run.hold(Phase::discharge, 10.0, 1440.0, 10.0);
  pulse(run);
  const auto found = analyse(run.recording()).dc_resistance;
  REQUIRE(found);
  CHECK(found->charge.value() == Approx(0.5).margin(0.01));
}

TEST_CASE("without a two-current pulse there is a reason instead") {
  RunBuilder run;
  run.step(StepKind::peak_current);
  SECTION("no pulse") {
    run.hold(Phase::peak, 10.0, 5.0, 0.5);
    CHECK(mentions(analyse(run.recording()).dc_resistance.why(), "no two-current pulse"));
  }
  SECTION("only the low current") {
    run.hold(Phase::low_current, 2.0, 10.0, 0.5).rest(5);
    CHECK_FALSE(analyse(run.recording()).dc_resistance);
  }
  SECTION("equal currents") {
    run.hold(Phase::low_current, 2.0, 10.0, 0.5).hold(Phase::high_current, 2.0, 1.0, 0.1);
    CHECK_FALSE(analyse(run.recording()).dc_resistance);
  }
  SECTION("the protection board opened") {
    pulse(run);
    run.recording().samples.back().current_a = 0.0;
    CHECK_FALSE(analyse(run.recording()).dc_resistance);
  }
}

}  // namespace
}  // namespace sagbench::analysis
