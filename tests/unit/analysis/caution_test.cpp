#include <algorithm>
#include <string>

#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

Recording sound() {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0);
  run.recording().accuracy.meter_voltage = AccuracyTerm{0.0001, 0.0, 20.0};
  run.recording().accuracy.load_current = AccuracyTerm{0.001, 0.0, 30.0};
  return run.recording();
}

bool warned(const Recording& recording, const std::string& words) {
  const auto cautions = analyse(recording).cautions;
  return std::ranges::any_of(cautions,
                             [&](const std::string& caution) { return mentions(caution, words); });
}

TEST_CASE("a sound run needs no caution") {
  CHECK(analyse(sound()).cautions.empty());
}

// IEEE 450 and 1188 practice: replace below 80 % of rating (seen).
TEST_CASE("a pack below 80 % of its rating is due for replacement") {
  auto recording = sound();  // 13.2 Ah
  recording.pack.rated_capacity_ah = 16.0;
  CHECK_FALSE(warned(recording, "replacement"));
  recording.pack.rated_capacity_ah = 17.0;
  CHECK(warned(recording, "78 % of the rating"));
}

// IEC 61960-3:2017, 7.3.1: 20 +/- 5 degC (seen, second-hand).
TEST_CASE("temperatures outside the standard's are said") {
  auto recording = sound();
  const auto at = [&](double temperature_c) {
    for (Sample& sample : recording.samples) sample.temperature_c = temperature_c;
    return warned(recording, "outside the 15 to 25 degC");
  };
  CHECK_FALSE(at(15.1));
  CHECK_FALSE(at(24.9));
  CHECK(at(14.9));
  CHECK(at(25.1));
  for (Sample& sample : recording.samples) sample.temperature_c.reset();
  CHECK(warned(recording, "temperature was not measured"));
}

TEST_CASE("a weak cell is named") {
  auto recording = sound();
  recording.samples.back().cell_v = {2.7, 2.7, 1.9, 2.7};
  recording.samples[recording.samples.size() - 2].cell_v = {2.7, 2.7, 1.9, 2.7};
  CHECK(warned(recording, "Cell 3"));
  recording.samples.back().cell_v = {2.5, 2.5, 2.45, 2.5};
  CHECK_FALSE(warned(recording, "Cell 3"));
}

TEST_CASE("what the bench lacked is said") {
  auto recording = sound();
  SECTION("accuracies") {
    recording.accuracy.defaulted = true;
    CHECK(warned(recording, "wide default"));
  }
  SECTION("any accuracy at all") {
    recording.accuracy.load_current = {};
    CHECK(warned(recording, "unknown"));
  }
  SECTION("a meter") {
    recording.accuracy.load_voltage = {0.001, 0.0, 60.0};
    recording.accuracy.meter_voltage.reset();
    CHECK(warned(recording, "load's own voltage"));
  }
}

TEST_CASE("an incomplete run says where it ended and why") {
  auto recording = sound();
  recording.complete = false;
  recording.steps[0].end = StepEnd::interrupted;
  recording.steps[0].why = "the line was silent";
  CHECK(warned(recording, "capacity step was interrupted, the line was silent"));
}

TEST_CASE("a protection board that opened is said") {
  auto recording = sound();
  recording.steps[0].end = StepEnd::protection_board;
  CHECK(warned(recording, "protection board opened"));
}

TEST_CASE("charges counted from the rating are said to be") {
  RunBuilder run;
  run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 10.0, 5.0, 0.5);
  CHECK(warned(run.recording(), "counted from the rated capacity"));
}

}  // namespace
}  // namespace sagbench::analysis
