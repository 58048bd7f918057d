// What another temperature leaves of a pack: its own runs, or the published coefficient.

#include "analysis/temperature_factor.hpp"

#include <array>
#include <cmath>
#include <vector>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;

RatePoint at(double temperature_c, double charge_ah, double current_a = 2.0) {
  return {current_a, {charge_ah, 0.002 * charge_ah, 2.0}, 10.5, temperature_c};
}

Finding<TemperatureFactor> factor(Chemistry chemistry, double from_c, double to_c,
                                  const std::vector<RatePoint>& others = {}, double hours = 10.0) {
  return temperature_factor(at(from_c, 10.0), others, chemistry, 0.5, to_c, hours);
}

// Temperature correction to 20 degrees by IEC 60896-21 (formula and 0.006 /K seen second-hand):
// 95 Ah at 12 degrees are 99.789916 Ah at 20, 95 Ah at 30 degrees with 0.010 /K are 86.363636 Ah.
// Worked outside this program; the factor goes the other way.
TEST_CASE("the coefficient is that of the standard's capacity test") {
  const auto slow = factor(Chemistry::agm, 20.0, 12.0);
  REQUIRE(slow);
  CHECK(99.789916 * slow->factor.value == Approx(95.0).epsilon(1e-8));
  const auto fast = factor(Chemistry::flooded, 30.0, 20.0, {}, 1.0);
  REQUIRE(fast);
  CHECK(95.0 * fast->factor.value == Approx(86.363636).epsilon(1e-8));
  CHECK(mentions(slow->source, "seen second-hand"));
}

// Cold, the cells beside the weakest one stand lower when that one ends the discharge.
TEST_CASE("two discharges that a cell ended are compared by that cell, not by the pack") {
  RatePoint run = at(20.0, 10.0), cold = at(0.0, 8.0);
  run.to_voltage_v = 11.2;
  cold.to_voltage_v = 10.6;
  const auto told = [&] {
    const std::vector<RatePoint> others{cold};
    return temperature_factor(run, others, Chemistry::lfp, 0.5, 0.0, 10.0);
  };
  CHECK_FALSE(told());
  run.cell_end_v = 2.5;
  CHECK_FALSE(told());  // the other one is the pack's end
  cold.cell_end_v = 2.5;
  REQUIRE(told());
  CHECK(told()->factor.value == Approx(0.8));
  cold.cell_end_v = 2.8;
  cold.to_voltage_v = 11.2;
  CHECK_FALSE(told());
}

struct Printed {
  double to_c;
  double change;
};

// A battery maker's table (its frequently asked questions): change of a lead-acid battery's
// capacity from that at 25 degrees, discharges of more than 60 minutes. Another source than the
// coefficient: it lies within the stated doubt.
TEST_CASE("a maker's table lies within the coefficient's doubt") {
  constexpr std::array kTable = {Printed{0.0, -0.16}, Printed{5.0, -0.12}, Printed{10.0, -0.10},
                                 Printed{15.0, -0.06}};
  for (const Printed& row : kTable) {
    INFO(row.to_c << " degrees");
    const auto found = factor(Chemistry::agm, 25.0, row.to_c);
    REQUIRE(found);
    CHECK(std::abs(found->factor.value - (1.0 + row.change)) <= found->factor.expanded_uncertainty);
    CHECK(found->factor.expanded_uncertainty < 0.07);
  }
}

TEST_CASE("the coefficient is not stretched beyond its table, nor used for warmth or lithium") {
  CHECK(factor(Chemistry::gel, 20.0, 0.0));
  CHECK(mentions(factor(Chemistry::gel, 20.0, -1.0).why(), "holds from 0"));
  CHECK(mentions(factor(Chemistry::gel, 20.0, 30.0).why(), "not counted"));
  CHECK(mentions(factor(Chemistry::lfp, 20.0, 10.0).why(), "no table is known"));
  CHECK(mentions(factor(Chemistry::nimh, 20.0, 10.0).why(), "no table is known"));
}

TEST_CASE("measured runs come before the coefficient, and are interpolated between") {
  for (const Chemistry chemistry : {Chemistry::lfp, Chemistry::agm}) {
    const auto found = factor(chemistry, 20.0, 10.0, {at(0.0, 8.0)});
    REQUIRE(found);
    CHECK(found->factor.value == Approx(0.9));
    // Midway half of the 2 Ah between them may be bend: 0.1 of the capacity, rectangular. With it
    // 0.1 % of both capacities, k = 2, and half a kelvin of 0.02 /K.
    const double bend = 0.1 / std::sqrt(3.0);
    const double own = std::hypot(0.5 * 0.8 * 0.001, (0.5 - 0.9) * 0.001);
    const double thermometer = 0.5 * 0.01 / std::sqrt(3.0);
    CHECK(found->factor.expanded_uncertainty ==
          Approx(2.0 * std::hypot(bend, own, thermometer)).epsilon(0.02));
  }
}

TEST_CASE("the nearest temperatures count, and nothing is extrapolated") {
  const std::vector<RatePoint> cold = {at(-10.0, 6.0), at(0.0, 8.0), at(5.0, 9.0)};
  CHECK(factor(Chemistry::lfp, 20.0, 2.0, cold)->factor.value == Approx(0.84));
  CHECK(factor(Chemistry::lfp, 20.0, 0.0, cold)->factor.value == Approx(0.8));
  CHECK_FALSE(factor(Chemistry::lfp, 20.0, -11.0, cold));
  // Warmer than the run, between two that were measured.
  CHECK(factor(Chemistry::lfp, 0.0, 10.0, {at(20.0, 12.0)})->factor.value == Approx(1.1));
}

TEST_CASE("the run's own temperature leaves what it gave, with no doubt beside") {
  const auto found = factor(Chemistry::lfp, 20.0, 20.0, {at(0.0, 8.0)});
  REQUIRE(found);
  CHECK(found->factor.value == Approx(1.0));
  CHECK(found->factor.expanded_uncertainty == 0.0);
}

TEST_CASE("runs that do not compare tell nothing") {
  CHECK_FALSE(factor(Chemistry::lfp, 20.0, 10.0, {at(0.0, 8.0, 4.0)}));  // twice the current
  auto other_end = at(0.0, 8.0);
  other_end.to_voltage_v = 11.0;
  CHECK_FALSE(factor(Chemistry::lfp, 20.0, 10.0, {other_end}));
  auto unmeasured = at(0.0, 8.0);
  unmeasured.temperature_c.reset();
  CHECK_FALSE(factor(Chemistry::lfp, 20.0, 10.0, {unmeasured}));
  CHECK(mentions(temperature_factor(unmeasured, {}, Chemistry::agm, 0.5, 10.0, 10.0).why(),
                 "not measured"));
}

}  // namespace
}  // namespace sagbench::analysis
