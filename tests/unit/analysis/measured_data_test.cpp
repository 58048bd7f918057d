#include "analysis/measured_data.hpp"

#include <vector>

#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

/// 3.6 A for 1000 s, from 13 V straight down to 9 V.
std::vector<Sample> falling() {
  Sample first, last;
  first.voltage_v = 13.0;
  last.voltage_v = 9.0;
  first.current_a = last.current_a = 3.6;
  first.time_s = 20.0;
  last.time_s = 1020.0;
  last.step = 7;  // of where they come from; nobody's business here
  last.phase = Phase::discharge;
  return {first, last};
}

}  // namespace

TEST_CASE("measured samples become one whole step that every analysis takes") {
  const auto recording = measured_recording(testing::lfp_pack(), falling());
  CHECK_FALSE(recording.steps.empty());
  CHECK(recording.steps.front().kind == StepKind::imported);
  CHECK(recording.steps.front().start_s == 20.0);
  CHECK(recording.steps.front().end_s == 1020.0);
  CHECK(recording.complete);
  const auto capacity = analyse(recording).capacity;
  REQUIRE(capacity);
  CHECK(capacity->charge_ah.value == Approx(0.75));  // 750 s down to the pack's 10 V
  CHECK(&capacity.value() == &*capacity);
}

TEST_CASE("what is not stated of the instruments is taken as wide, and can be stated afterwards") {
  auto recording = measured_recording(testing::lfp_pack(), falling());
  CHECK(recording.accuracy.defaulted);
  CHECK(recording.current_limit_a == 30.0);
  const auto unstated = analyse(recording).capacity;
  recording.accuracy = BenchAccuracy{};
  recording.accuracy.load_current = {0.002, 0.0, 30.0};
  const auto stated = analyse(recording).capacity;
  REQUIRE((unstated && stated));
  CHECK(stated->charge_ah.value == unstated->charge_ah.value);
  // At the least twice the gain's share of 0.75 Ah over sqrt(3) (JCGM 100:2008, 4.3.7): 1 % of the
  // defaults, 0.2 % as stated.
  CHECK(unstated->charge_ah.expanded_uncertainty > 0.0086);
  CHECK(stated->charge_ah.expanded_uncertainty > 0.0017);
  CHECK(stated->charge_ah.expanded_uncertainty < 0.0086);
}

TEST_CASE("without samples every figure says why it is missing") {
  const auto figures = analyse(measured_recording(testing::lfp_pack(), {}));
  CHECK_FALSE(figures.capacity);
  CHECK_FALSE(figures.capacity.why().empty());
  CHECK_THROWS_WITH(figures.capacity.value(), figures.capacity.why());
}

}  // namespace sagbench::analysis
