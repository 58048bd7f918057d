// What the end of a discharge tells of untapped cells, on falls whose shape is known.
#include "analysis/untapped_cells.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "analysis/capacity.hpp"
#include "analysis/end_shape.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::RunBuilder;

/// 10 Ah at 2 A, a reading every 20 s, the voltage by the charge that is left.
Recording discharge_of(const std::function<double(double)>& voltage_v) {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge)
      .hold(Phase::discharge, 2.0, 19'000.0, 20.0);
  Recording recording = run.recording();
  std::size_t count = 0;
  for (Sample& sample : recording.samples) {
    const double removed_ah = 2.0 * (sample.time_s) / 3600.0;
    sample.voltage_v = voltage_v(10.0 - removed_ah);
    ++count;
    if (sample.voltage_v <= 10.0) break;
  }
  recording.samples.resize(count);
  return recording;
}

/// 12.7 V, then straight down by 2.7 V over `last_ah`.
Recording straight_fall(double last_ah) {
  return discharge_of([last_ah](double left_ah) {
    return 12.7 - 2.7 * std::max(0.0, last_ah - left_ah) / last_ah;
  });
}

Recording exponential_fall(double scale_ah) {
  return discharge_of(
      [scale_ah](double left_ah) { return 12.7 - 2.7 * std::exp(-left_ah / scale_ah); });
}

Finding<UntappedCells> told(const Recording& recording) {
  const auto discharge = reference_discharge(recording);
  REQUIRE(discharge);
  return untapped_cells(recording, *discharge);
}

}  // namespace

TEST_CASE(
    "the shape of a fall: 1 when straight, ln 2 / ln 1.5 when exponential, whatever the scale") {
  const Recording straight = straight_fall(0.5);
  const auto found = end_shape(*reference_discharge(straight));
  REQUIRE(found);
  CHECK(found->before_v == Approx(12.7));
  CHECK(found->steepening == Approx(1.0).margin(3.0 * found->log_u));
  for (const double scale_ah : {0.1, 0.2}) {
    const Recording exponential = exponential_fall(scale_ah);
    const auto shape = end_shape(*reference_discharge(exponential));
    REQUIRE(shape);
    CAPTURE(scale_ah, shape->log_u);
    CHECK(std::log(shape->steepening) ==
          Approx(std::log(std::log(2.0) / std::log(1.5))).margin(3.0 * shape->log_u + 0.02));
  }
}

TEST_CASE("readings far apart leave the shape in doubt") {
  Recording recording = straight_fall(0.5);
  const auto fine = end_shape(*reference_discharge(recording));
  std::size_t index = 0;
  std::erase_if(recording.samples, [&](const Sample& sample) {
    const bool last = &sample == &recording.samples.back();
    return index++ % 10 != 0 && !last;
  });
  const auto coarse = end_shape(*reference_discharge(recording));
  REQUIRE(fine);
  REQUIRE(coarse);
  CHECK(coarse->log_u > 3.0 * fine->log_u);
}

TEST_CASE("a pack that falls straight to its end has one cell that fell alone") {
  const auto cells = told(straight_fall(0.4));
  REQUIRE(cells);
  CHECK(cells->one_alone);
  CHECK(cells->confidence.value() > 0.95);
  // 10.0 V less three cells of 12.7 V / 4.
  CHECK(cells->weakest_v.value() == Approx(10.0 - 0.75 * 12.7).margin(0.01));
}

TEST_CASE("an exponential fall decides nothing") {
  const auto cells = told(exponential_fall(0.2));
  CHECK_FALSE(cells);
  CHECK(mentions(cells.why(), "that decides nothing"));
}

TEST_CASE("a voltage that falls by a cell and goes on flat shows one cell that was driven on") {
  const auto stepped = [](double left_ah) {
    const double done = std::clamp((4.0 - left_ah) / 0.5, 0.0, 1.0);
    const double end = std::max(0.0, 0.3 - left_ah) / 0.3;
    return 14.0 - 2.0 * done - 2.0 * end * end;
  };
  const auto cells = told(discharge_of(stepped));
  REQUIRE(cells);
  CHECK(cells->one_alone);
  CHECK_FALSE(cells->confidence);
  CHECK(cells->weakest_v.value() == Approx(14.0 / 4.0 - 2.0).margin(0.1));
  CHECK(mentions(cells->because, "went on as flat as before"));
  // The same fall under a heavier current is none of the pack's.
  Recording pulsed = discharge_of([](double left_ah) {
    return left_ah > 3.0 && left_ah < 3.2 ? 11.0 : 12.7 - 2.7 * std::exp(-left_ah / 0.2);
  });
  for (Sample& sample : pulsed.samples)
    if (sample.voltage_v == 11.0) sample.current_a = 8.0;
  CHECK_FALSE(told(pulsed));
}

TEST_CASE("a board that opens while the pack stands high shows one low cell") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::protection_board)
      .discharge_to(12.0, 2.0, 60.0)
      .hold(Phase::discharge, 2.0, 2.0, 1.0);
  Recording recording = run.recording();
  for (Sample& sample : recording.samples)
    if (&sample + 2 > &recording.samples.back()) sample.current_a = 0.0;
  const auto cells = told(recording);
  REQUIRE(cells);
  CHECK(cells->one_alone);
  CHECK_FALSE(cells->confidence);
  CHECK(cells->weakest_v == 2.8);
  recording.pack.chemistry = Chemistry::agm;
  CHECK_FALSE(told(recording));
}

TEST_CASE("tapped cells, one cell and other chemistries are not told by the shape") {
  Recording recording = straight_fall(0.4);
  recording.pack.chemistry = Chemistry::nmc;
  CHECK(mentions(told(recording).why(), "looks the same whether one of them is weak or none"));
  recording = straight_fall(0.4);
  recording.pack.series = 1;
  CHECK(mentions(told(recording).why(), "one cell in series"));
  recording = straight_fall(0.4);
  for (Sample& sample : recording.samples) sample.cell_v.assign(4, sample.voltage_v / 4.0);
  CHECK(mentions(told(recording).why(), "were tapped"));
}

TEST_CASE(
    "a cell that fell alone is a caution, and so is a low capacity that taps did not explain") {
  Recording recording = straight_fall(0.4);
  const auto said = [](const Figures& figures, const char* words) {
    for (const auto& caution : figures.cautions)
      if (mentions(caution, words)) return true;
    return false;
  };
  CHECK(said(analyse(recording), "One cell was empty while the others still held"));
  CHECK(said(analyse(recording), "its limit being 2.50 V"));
  recording = exponential_fall(0.2);
  CHECK_FALSE(said(analyse(recording), "cannot be told"));
  recording.pack.rated_capacity_ah = 13.0;
  CHECK(said(analyse(recording),
             "Whether all cells hold less or one of them is weak cannot be told"));
}

}  // namespace sagbench::analysis
