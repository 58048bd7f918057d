#include "analysis/imported_discharge.hpp"

#include <array>
#include <vector>

#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::lfp_pack;
using testing::mentions;

/// Rows of a logger: time, voltage, current.
Recording imported(const std::vector<std::array<double, 3>>& rows) {
  Recording recording;
  recording.pack = lfp_pack();
  recording.complete = true;
  Step step;
  step.kind = StepKind::imported;
  step.end = StepEnd::completed;
  recording.steps.push_back(step);
  for (const auto& [time_s, voltage_v, current_a] : rows) {
    Sample sample;
    sample.time_s = time_s;
    sample.voltage_v = voltage_v;
    sample.current_a = current_a;
    sample.phase = Phase::imported;
    recording.samples.push_back(sample);
  }
  return recording;
}

TEST_CASE("the switch-on edge counts as recorded: half its interval, all of it in doubt") {
  const auto recording =
      imported({{0, 13.4, 0}, {100, 13.4, 0}, {110, 13.0, 3.6}, {1110, 9, 3.6}, {1120, 12, 0}});
  const auto capacity = analyse(recording).capacity;
  REQUIRE(capacity);
  // 18 As on the edge, then 750 s of 1000 s down from 13 to 10 V.
  CHECK(capacity->charge_ah.value * 3600.0 == Approx(18.0 + 750.0 * 3.6));
  const auto discharge = imported_discharge(recording, 0);
  CHECK(discharge->start_doubt_s == Approx(5.0));
}

TEST_CASE("data that begin within the discharge count from their first sample") {
  const auto capacity = analyse(imported({{0, 13, 3.6}, {1000, 9, 3.6}})).capacity;
  REQUIRE(capacity);
  CHECK(capacity->charge_ah.value * 3600.0 == Approx(750.0 * 3.6));
}

TEST_CASE("a charge and rests before the discharge do not count") {
  const auto capacity = analyse(imported({{0, 12, 0},
                                          {10, 13, -5},
                                          {3610, 14.4, -5},
                                          {3610, 14.4, 0},
                                          {4000, 13.6, 0},
                                          {4000, 13.0, 3.6},
                                          {5000, 9.0, 3.6}}))
                            .capacity;
  REQUIRE(capacity);
  CHECK(capacity->charge_ah.value * 3600.0 == Approx(750.0 * 3.6));
}

TEST_CASE("short charge pulses belong to the discharge, a real charge ends it") {
  // One per cent of the rated 10 Ah are 360 As.
  const auto with_pulse = [](double charge_a) {
    return analyse(imported({{0, 13.4, 0},
                             {0, 13, 3.6},
                             {1000, 12, 3.6},
                             {1000, 13, -charge_a},
                             {1100, 13, -charge_a},
                             {1100, 12, 3.6},
                             {2100, 8, 3.6}}))
        .capacity;
  };
  // 1000 s, less the pulse, and half of the last 1000 s.
  CHECK(with_pulse(3.0)->charge_ah.value * 3600.0 == Approx(3600.0 - 300.0 + 500.0 * 3.6));
  CHECK(with_pulse(4.0)->charge_ah.value * 3600.0 == Approx(500.0 * 3.6));
}

TEST_CASE("the offset of a resting logger is no discharge") {
  // A hundredth of It is 0.1 A.
  const auto capacity =
      analyse(imported({{0, 13.4, 0.02}, {36000, 13.4, 0.02}, {36000, 13.0, 3.6}, {37000, 9, 3.6}}))
          .capacity;
  REQUIRE(capacity);
  CHECK(capacity->charge_ah.value * 3600.0 == Approx(750.0 * 3.6));
}

TEST_CASE("a very slow discharge is found all the same") {
  const auto capacity =
      analyse(imported({{0, 13.4, 0}, {0, 13.0, 0.036}, {100000, 9, 0.036}})).capacity;
  REQUIRE(capacity);
  CHECK(capacity->charge_ah.value * 3600.0 == Approx(75000.0 * 0.036));
}

TEST_CASE("data that do not reach the end say how far they got") {
  const auto found = analyse(imported({{0, 13, 3.6}, {1000, 12, 3.6}, {1010, 13, 0}}));
  CHECK_FALSE(found.capacity);
  CHECK(mentions(found.capacity.why(), "lowest 12.00 V, 1.000 Ah removed"));
}

TEST_CASE("data without a discharge say so") {
  CHECK(analyse(imported({{0, 13, -1}, {100, 13.4, -1}})).capacity.why() ==
        "the data hold no discharge");
}

}  // namespace
}  // namespace sagbench::analysis
