// What the stage draws, against values worked outside this program: constant power by repeating
// I = P / (V - I R), clipping by halving intervals.
#include "analysis/radio_stage.hpp"

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

constexpr Demand kReceive{false, 0.0};
constexpr Demand kIdle{true, 0.0};
constexpr Demand kPeak{true, 1.0};
constexpr double kAwg12_ohm = 0.02084;  // 4 m of conductor

Radio radio(Stage stage, double cable_ohm = 0.0) {
  Radio result;
  result.supply_min_v = 11.7;
  result.supply_max_v = 15.9;
  result.supply_nominal_v = 13.8;
  result.receive_a = 0.9;
  result.transmit_peak_a = 22.0;
  result.transmit_idle_a = 2.0;
  result.stage = stage;
  result.cable_ohm = cable_ohm;
  return result;
}

}  // namespace

// Twin lead of 2 m, 22 A: AWG 12 loses 0.4585 V, AWG 10 (13.11 mohm) 0.2884 V.
TEST_CASE("the supply at the radio is the pack's less the cable's drop") {
  CHECK(13.8 - supply_at_radio_v(radio(Stage::linear, kAwg12_ohm), 13.8, 22.0) ==
        Approx(0.4585).margin(5.1e-5));
  CHECK(13.8 - supply_at_radio_v(radio(Stage::linear, 0.01311), 13.8, 22.0) ==
        Approx(0.2884).margin(5.1e-5));
}

TEST_CASE("a linear stage follows the envelope as long as the supply lets it swing") {
  const Radio linear = radio(Stage::linear);
  CHECK(stage_current_a(linear, kReceive, 13.8) == 0.9);
  CHECK(stage_current_a(linear, kIdle, 13.8) == 2.0);
  CHECK(stage_current_a(linear, {true, 0.5}, 13.8) == 12.0);
  CHECK(stage_current_a(linear, kPeak, 13.8) == 22.0);
  CHECK(stage_current_a(linear, kPeak, 15.0) == 22.0);
}

TEST_CASE(
    "below the voltage where it clips its peak falls with the supply, quieter speech does not") {
  const Radio linear = radio(Stage::linear);
  CHECK(stage_current_a(linear, kPeak, 6.9) == Approx(11.0));
  CHECK(stage_current_a(linear, kPeak, 12.0) == Approx(22.0 * 12.0 / 13.8));
  CHECK(stage_current_a(linear, {true, 0.5}, 12.0) == 12.0);
  CHECK(stage_current_a(linear, kIdle, 0.5) == 2.0);
  CHECK(stage_current_a(linear, kReceive, 6.9) == 0.9);
}

TEST_CASE("where it clips may be stated") {
  Radio linear = radio(Stage::linear);
  CHECK(clips_below_v(linear) == 13.8);
  linear.clips_below_v = 12.0;
  CHECK(stage_current_a(linear, kPeak, 12.0) == 22.0);
  CHECK(stage_current_a(linear, kPeak, 11.0) == Approx(22.0 * 11.0 / 12.0));
}

TEST_CASE("a regulated stage draws more as the supply falls, and no more below its lower limit") {
  const Radio regulated = radio(Stage::constant_power);
  CHECK(stage_current_a(regulated, kPeak, 13.8) == Approx(22.0));
  CHECK(stage_current_a(regulated, kPeak, 12.0) == Approx(25.3));
  CHECK(stage_current_a(regulated, kIdle, 12.0) == Approx(2.3));
  CHECK(stage_current_a(regulated, kReceive, 12.0) == 0.9);
  CHECK(stage_current_a(regulated, kPeak, 11.7) == Approx(25.948718));
  CHECK(stage_current_a(regulated, kPeak, 5.0) == Approx(25.948718));
  CHECK(highest_current_a(regulated) == Approx(25.948718));
  CHECK(highest_current_a(radio(Stage::linear)) == 22.0);
}

TEST_CASE("radio and cable agree on one current") {
  const OperatingPoint regulated =
      operating_point(radio(Stage::constant_power, kAwg12_ohm), kPeak, 12.8);
  CHECK(regulated.current_a == Approx(24.713107).epsilon(1e-6));
  CHECK(regulated.supply_v == Approx(12.284979).epsilon(1e-6));

  const OperatingPoint clipped = operating_point(radio(Stage::linear, kAwg12_ohm), kPeak, 12.8);
  CHECK(clipped.current_a == Approx(19.749651).epsilon(1e-6));
  CHECK(clipped.supply_v == Approx(12.388417).epsilon(1e-6));

  const OperatingPoint free = operating_point(radio(Stage::linear, kAwg12_ohm), kPeak, 15.0);
  CHECK(free.current_a == 22.0);
  CHECK(free.supply_v == Approx(15.0 - 22.0 * kAwg12_ohm));
}

TEST_CASE("each operating point is one of the stage's own") {
  for (const Stage stage : {Stage::linear, Stage::constant_power})
    for (const double pack_v : {12.4, 12.9, 13.4, 13.9, 14.6})
      for (const double level : {0.0, 0.3, 0.7, 1.0}) {
        INFO(pack_v << " V, level " << level);
        const Radio tested = radio(stage, kAwg12_ohm);
        const Demand demand{true, level};
        const OperatingPoint point = operating_point(tested, demand, pack_v);
        CHECK(point.current_a == Approx(stage_current_a(tested, demand, point.supply_v)));
      }
}

// 303.6 W over 0.15 ohm: V^2 = 4 P R at 13.4967 V.
TEST_CASE("a regulated radio that cannot be supplied draws what it draws at its lower limit") {
  const Radio far = radio(Stage::constant_power, 0.15);
  const OperatingPoint none = operating_point(far, kPeak, 13.4);
  CHECK(none.current_a == Approx(25.948718));
  CHECK(none.supply_v == Approx(13.4 - 25.948718 * 0.15));
  CHECK(none.supply_v < far.supply_min_v);
}

}  // namespace sagbench::analysis
