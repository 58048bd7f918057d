#include <algorithm>
#include <cstddef>
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

// IEC 61960-3:2017, 7.3.1: 20 +/- 5 °C (seen, second-hand).
TEST_CASE("temperatures outside the standard's are said") {
  auto recording = sound();
  const auto at = [&](double temperature_c) {
    for (Sample& sample : recording.samples) sample.temperature_c = temperature_c;
    return warned(recording, "outside the 15 to 25 °C");
  };
  CHECK_FALSE(at(15.1));
  CHECK_FALSE(at(24.9));
  CHECK(at(14.9));
  CHECK(at(25.1));
  for (Sample& sample : recording.samples) sample.temperature_c.reset();
  CHECK(warned(recording, "temperature was not measured"));
}

/// The four cells share the pack's voltage; the third stands `late_v` below the others with 90 % of
/// the discharge done and `early_v` with 10 %, a straight line between, and at the end far below.
Recording with_third_cell(double early_v, double late_v) {
  auto recording = sound();
  const auto count = static_cast<double>(recording.samples.size());
  for (std::size_t i = 0; i < recording.samples.size(); ++i) {
    const double done = static_cast<double>(i + 1) / count;
    const double below_v =
        done > 0.97 ? 0.7 : early_v + (late_v - early_v) * (done - 0.1) / (0.9 - 0.1);
    const double cell_v = recording.samples[i].voltage_v / 4.0;
    recording.samples[i].cell_v = {cell_v, cell_v, cell_v - below_v, cell_v};
  }
  return recording;
}

TEST_CASE("a cell that lags before the knee is named as weak") {
  const auto weak = with_third_cell(0.0, 0.11);
  CHECK(warned(weak, "Cell 3"));
  CHECK(warned(weak, "with 90 % of the discharge done it stood 0.11 V below"));
  CHECK_FALSE(warned(weak, "resistance"));
  const auto figures = analyse(weak);
  CHECK(figures.weakest_cell == 3);
  CHECK(figures.cell_spread_v.value() == Approx(0.11).epsilon(0.01));
  CHECK(figures.cell_spread_early_v.value() == Approx(0.0).margin(0.001));
}

TEST_CASE("sound cells that part at the very end are not called weak") {
  CHECK_FALSE(warned(with_third_cell(0.0, 0.02), "Cell 3"));
  CHECK(analyse(with_third_cell(0.0, 0.02)).weakest_cell ==
        3);  // but the figure says which is last
}

TEST_CASE("a cell that stands low from the start points at a resistance") {
  const auto recording = with_third_cell(0.19, 0.3);
  CHECK(warned(recording, "0.19 V below already after 10 %"));
  CHECK(warned(recording, "resistance or a joint"));
}

TEST_CASE("a sloping chemistry is allowed a wider spread") {
  auto recording = with_third_cell(0.0, 0.08);
  CHECK(warned(recording, "Cell 3"));
  recording.pack.chemistry = Chemistry::nmc;
  CHECK_FALSE(warned(recording, "Cell 3"));
}

TEST_CASE("cells read only at the end do not tell a spread before the knee") {
  auto recording = sound();
  recording.samples.back().cell_v = {2.7, 2.7, 1.9, 2.7};
  CHECK_FALSE(analyse(recording).weakest_cell);
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
