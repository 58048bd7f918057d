// How long a radio was on the air and what it got out of the pack, on an ideal pack by arithmetic.
#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::qro_radio;
using testing::RunBuilder;

/// A discharge at constant current, recharged; then 20 s on, 5 s silent, 15 s on, 60 s silent for
/// good.
RunBuilder two_drop_outs(StepEnd end) {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0).full();
  run.transmit_step(qro_radio(), end);
  run.hold(Phase::transmit, 20.0, 20.0, 1.0).hold(Phase::dropped_out, 0.0, 4.0, 1.0);
  run.hold(Phase::receive, 1.0, 5.0, 1.0).hold(Phase::transmit, 20.0, 10.0, 1.0);
  run.hold(Phase::dropped_out, 0.0, 60.0, 1.0).hold(Phase::recovery, 0.0, 10.0, 1.0);
  return run;
}

}  // namespace

TEST_CASE("drop-outs are counted and their silence is not time on the air") {
  auto run = two_drop_outs(StepEnd::supply_min);
  const auto found = analyse(run.recording()).on_air;
  REQUIRE(found.size() == 1);
  CHECK(found[0].drop_outs == 2);
  // The receiver's first reading is a second after it came on: from the last reading before the
  // drop-out to it are 5 s.
  CHECK(found[0].hours * 3600.0 == Approx(39.0));
  CHECK(found[0].on_air_hours * 3600.0 == Approx(34.0));
}

TEST_CASE("what the radio got out of the pack stands beside the constant-current capacity") {
  auto run = two_drop_outs(StepEnd::supply_min);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.capacity);
  const OnAir& air = figures.on_air.at(0);
  REQUIRE(air.usable_ah);
  CHECK(*air.usable_ah == Approx((30.0 * 20.0 + 5.0) / 3600.0));
  REQUIRE(air.left_ah);
  CHECK(*air.left_ah == Approx(figures.capacity->charge_ah.value - 605.0 / 3600.0));
}

TEST_CASE("a step that the pack did not end has no usable capacity, and says why") {
  auto run = two_drop_outs(StepEnd::completed);
  const auto found = analyse(run.recording()).on_air;
  CHECK_FALSE(found.at(0).usable_ah);
  CHECK_FALSE(found.at(0).left_ah);
  CHECK(found[0].usable_ah.why() == "the pack did not end this step");
}

TEST_CASE("without a capacity discharge what was left behind is not known") {
  RunBuilder run;
  run.transmit_step(qro_radio(), StepEnd::supply_min).hold(Phase::transmit, 20.0, 20.0, 1.0);
  const auto found = analyse(run.recording()).on_air;
  REQUIRE(found.at(0).usable_ah);
  CHECK_FALSE(found[0].left_ah);
  CHECK_FALSE(found[0].left_ah.why().empty());
}

TEST_CASE("ages of the voltages and missed ticks come from the samples") {
  RunBuilder run;
  run.transmit_step(qro_radio()).hold(Phase::transmit, 20.0, 5.0, 1.0);
  CHECK_FALSE(analyse(run.recording()).on_air.at(0).voltage_age);
  const double ages_s[] = {0.02, 0.5, 0.03, 0.01, 0.04};
  for (std::size_t i = 0; i < 5; ++i) {
    run.recording().samples[i].voltage_age_s = ages_s[i];
    run.recording().samples[i].missed_ticks = i == 2 ? 7 : 1;
  }
  const auto found = analyse(run.recording()).on_air;
  REQUIRE(found.at(0).voltage_age);
  CHECK(found[0].voltage_age->median_s == 0.03);
  CHECK(found[0].voltage_age->longest_s == 0.5);
  CHECK(found[0].missed_ticks == 11);
}

}  // namespace sagbench::analysis
