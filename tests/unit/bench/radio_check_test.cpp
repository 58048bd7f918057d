// A radio that the pack at hand cannot keep on the air is refused in one line, before anything is
// energised.
#include "bench/safety/radio_check.hpp"

#include "bench/files/input_error.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

Plan plan_with(double min_v, double max_v, analysis::Stage stage = analysis::Stage::linear) {
  TransmitStep transmit;
  transmit.radio.name = "R";
  transmit.radio.supply_min_v = min_v;
  transmit.radio.supply_max_v = max_v;
  transmit.radio.supply_nominal_v = 13.8;
  transmit.radio.transmit_peak_a = 20.0;
  transmit.radio.stage = stage;
  Plan plan;
  plan.origin = "plan.json";
  plan.steps.push_back({RestStep{10.0}, {}});
  plan.steps.push_back({transmit, {}});
  return plan;
}

std::string refusal(const Plan& plan, double rested_v) {
  try {
    check_radios(plan, rested_v);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("a radio whose limits hold the resting voltage is fine") {
  CHECK(refusal(plan_with(11.7, 15.9), 13.3).empty());
  CHECK(refusal(plan_with(13.2, 13.4), 13.3).empty());
}

TEST_CASE("a radio that drops out above the resting voltage is refused") {
  CHECK(refusal(plan_with(13.5, 15.9), 13.3) ==
        "plan.json: \"steps[1].radio.supply_min_V\": 13.5 V is not accepted; the pack rests at "
        "13.30 V and the radio would not be on the air at all: a lower limit below that is "
        "expected");
  CHECK_FALSE(refusal(plan_with(13.3, 15.9), 13.3).empty());
}

TEST_CASE("a radio that bears less than the resting voltage is refused") {
  CHECK(refusal(plan_with(11.7, 15.0), 16.4) ==
        "plan.json: \"steps[1].radio.supply_max_V\": 15 V is not accepted; the pack rests at 16.40 "
        "V and the radio would refuse to switch on: an upper limit above that is expected");
  CHECK(refusal(plan_with(11.7, 15.0), 15.0).empty());
}

// 20 A at 13.8 V are 276 W: 23.6 A at 11.7 V, and 22 A below 12.55 V.
TEST_CASE("a regulated radio that would rise above what is allowed is told of") {
  const auto stage = analysis::Stage::constant_power;
  CHECK(capped_radios(plan_with(11.7, 15.9, stage), 24.0).empty());
  CHECK(capped_radios(plan_with(11.7, 15.9), 20.0).empty());
  const auto told = capped_radios(plan_with(11.7, 15.9, stage), 22.0);
  REQUIRE(told.size() == 1);
  CHECK(told[0] ==
        "Step 2: with its supply below 12.55 V the radio \"R\" would draw more than 22 A, the most "
        "that pack, fuse and load allow; there the current is held at that.");
}
