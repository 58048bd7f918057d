// Held peaks, the sag line through them and the largest current it promises.

#include "analysis/figures.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::IdealPack;
using testing::lfp_pack;
using testing::mentions;
using testing::qro_radio;
using testing::RunBuilder;

// No fall with charge: every voltage follows from current and resistance alone.
constexpr IdealPack kFlat{.full_v = 13.0, .fall_v_per_ah = 0.0, .ohm = 0.04};

void peak(RunBuilder& run, double current_a) {
  run.hold(Phase::peak, current_a, 10.0, 0.5).hold(Phase::recovery, 0.0, 20.0, 1.0);
}

RunBuilder two_peaks() {
  RunBuilder run(kFlat);
  run.step(StepKind::peak_current).rest(5);
  peak(run, 5.0);
  peak(run, 10.0);
  return run;
}

TEST_CASE("a peak is told from rest to recovery") {
  auto run = two_peaks();
  const auto peaks = analyse(run.recording()).peaks;
  REQUIRE(peaks.size() == 2);
  const Peak& second = peaks[1];
  CHECK(second.asked_a == 10.0);
  CHECK(second.current_a == Approx(10.0));
  CHECK(second.held_s == Approx(10.0));
  CHECK(second.rest_v == Approx(13.0));
  CHECK(second.first_v == Approx(12.6));
  CHECK(second.first_after_s == Approx(0.5));
  CHECK(second.after_1s_v.value() == Approx(12.6));
  CHECK(second.lowest_v == Approx(12.6));
  CHECK(second.recovered_v == Approx(13.0));
  CHECK(second.full_hold);
  CHECK(second.ended.empty());
  // No capacity step: 50 As of the rated 10 Ah were gone.
  CHECK(second.charge == Approx(1.0 - 50.0 / 36000.0));
}

void check_point(const SagPoint& point, double after_s, double read_after_s, double below_v) {
  CHECK(point.after_s == after_s);
  CHECK(point.read_after_s == Approx(read_after_s));
  CHECK(point.below_rest_v == Approx(below_v).margin(1e-9));
}

TEST_CASE("sag and recovery are told at their times, interpolated between two readings") {
  RunBuilder run({.full_v = 13.0, .fall_v_per_ah = 3.6, .ohm = 0.04});  // 1 mV an ampere-second
  run.step(StepKind::peak_current).rest(5);
  run.hold(Phase::peak, 10.0, 10.0, 0.008).hold(Phase::recovery, 0.0, 31.0, 0.4);
  const auto peaks = analyse(run.recording()).peaks;
  REQUIRE(peaks.size() == 1);
  REQUIRE(peaks[0].sag.size() == 4);
  check_point(peaks[0].sag[0], 0.01, 0.01, 0.4 + 0.0001);
  check_point(peaks[0].sag[1], 0.1, 0.1, 0.4 + 0.001);
  check_point(peaks[0].sag[2], 1.0, 1.0, 0.4 + 0.01);
  check_point(peaks[0].sag[3], 10.0, 10.0, 0.4 + 0.1);
  REQUIRE(peaks[0].recovery.size() == 3);
  for (const SagPoint& point : peaks[0].recovery)
    check_point(point, point.after_s, point.after_s, 0.1);
}

TEST_CASE("a first reading that comes late gives its own age, and stands for one time only") {
  const auto peaks = analyse(two_peaks().recording()).peaks;  // a reading every 0.5 s
  REQUIRE(peaks.size() == 2);
  REQUIRE(peaks[1].sag.size() == 3);
  check_point(peaks[1].sag[0], 0.01, 0.5, 0.4);
  check_point(peaks[1].sag[1], 1.0, 1.0, 0.4);
  check_point(peaks[1].sag[2], 10.0, 10.0, 0.4);
  REQUIRE(peaks[1].recovery.size() == 2);  // watched for 20 s
  CHECK(peaks[1].recovery[1].after_s == 10.0);
}

TEST_CASE("a peak that was held shorter has no later sag") {
  RunBuilder run(kFlat);
  run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 10.0, 0.5, 0.05);
  const auto peaks = analyse(run.recording()).peaks;
  REQUIRE(peaks.size() == 1);
  REQUIRE(peaks[0].sag.size() == 2);
  CHECK(peaks[0].sag[1].after_s == 0.1);
  CHECK(peaks[0].recovery.empty());
}

TEST_CASE("state of charge counts from the measured capacity, even one measured later") {
  RunBuilder run;  // gives 13.2 Ah at 2 A
  run.step(StepKind::peak_current).rest(5).hold(Phase::discharge, 6.6, 3600.0, 10.0);
  peak(run, 5.0);
  run.full().step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 10.0);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.peaks.size() == 1);
  CHECK(figures.peaks[0].charge == Approx(0.5).epsilon(1e-6));
}

TEST_CASE("a peak that the protection board cut short shows no sag behind it") {
  auto run = two_peaks();
  auto& samples = run.recording().samples;
  for (Sample& sample : samples)
    if (sample.phase == Phase::peak && sample.commanded_a == 10.0 &&
        sample.time_s > *sample.commanded_since_s + 4.9) {
      sample.current_a = 0.0;
      sample.voltage_v = 0.1;
    }
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.peaks.size() == 2);
  CHECK_FALSE(figures.peaks[1].full_hold);
  CHECK(figures.peaks[1].ended == "the protection board opened");
  CHECK(figures.peaks[1].lowest_v == Approx(12.6));
  CHECK(figures.peaks[1].held_s == Approx(4.5));
  CHECK(figures.peaks[1].sag.size() == 2);  // no sag after 10 s: the board was open by then
  CHECK(figures.peaks[1].recovery.empty());
  REQUIRE(figures.peak_current.size() == 1);
  CHECK(figures.peak_current[0].current_a == Approx(5.0));
  CHECK(figures.peak_current[0].limited_by == "pack limit");
}

TEST_CASE("a peak that reached the end-of-discharge voltage was let go early") {
  RunBuilder run({.full_v = 10.2, .fall_v_per_ah = 0.0, .ohm = 0.04});
  run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 6.0, 1.0, 0.5);
  run.hold(Phase::recovery, 0.0, 5.0, 1.0);
  const auto peaks = analyse(run.recording()).peaks;
  REQUIRE(peaks.size() == 1);
  CHECK_FALSE(peaks[0].full_hold);
  CHECK(mentions(peaks[0].ended, "end-of-discharge"));
}

TEST_CASE("the sag line is followed to the radio's lower supply limit") {
  auto run = two_peaks();
  auto radio = qro_radio();
  radio.supply_min_v = 12.4;
  run.transmit_step(radio, StepEnd::skipped);
  const auto found = analyse(run.recording()).peak_current;
  REQUIRE(found.size() == 1);
  // (13.0 - 12.4) / (0.04 + 0.01 ohm of cable)
  CHECK(found[0].current_a == Approx(12.0));
  CHECK(found[0].limited_by == "supply_min");
  CHECK(found[0].radio_class == RadioClass::qro);
}

TEST_CASE("the largest current is capped by what is known, and says by which") {
  auto run = two_peaks();
  run.transmit_step(qro_radio(), StepEnd::skipped);  // supply_min alone would allow 40 A
  auto& recording = run.recording();
  const auto found = [&] { return analyse(recording).peak_current.at(0); };
  SECTION("by half more than was held") {
    CHECK(found().current_a == Approx(15.0));
    CHECK(found().limited_by == "tested range");
  }
  SECTION("by the pack") {
    recording.pack.max_discharge_current_a = 14.0;
    CHECK(found().current_a == Approx(14.0));
    CHECK(found().limited_by == "pack limit");
  }
  SECTION("by the pack even where nothing higher was tested") {
    recording.pack.max_discharge_current_a = 15.0;
    CHECK(found().limited_by == "pack limit");
  }
  SECTION("by the fuse") {
    recording.pack.fuse_a = 13.0;
    CHECK(found().current_a == Approx(13.0));
    CHECK(found().limited_by == "fuse");
  }
  SECTION("by the load") {
    recording.load_current_limit_a = 11.0;
    CHECK(found().current_a == Approx(11.0));
    CHECK(found().limited_by == "load");
  }
}

TEST_CASE("without a radio the end-of-discharge voltage takes the place of the supply limit") {
  auto run = two_peaks();
  run.recording().pack.end_of_discharge_v = 12.5;
  const auto found = analyse(run.recording()).peak_current;
  REQUIRE(found.size() == 1);
  CHECK(found[0].current_a == Approx(12.5));
  CHECK(found[0].limited_by == "end of discharge");
}

TEST_CASE("a pack that rests below the limit sustains nothing") {
  auto run = two_peaks();
  auto radio = qro_radio();
  radio.supply_min_v = 13.5;
  run.transmit_step(radio, StepEnd::skipped);
  CHECK(analyse(run.recording()).peak_current.at(0).current_a == 0.0);
}

TEST_CASE("each visited state of charge has its own line") {
  RunBuilder run({.full_v = 13.0, .fall_v_per_ah = 0.1, .ohm = 0.04});
  run.step(StepKind::peak_current).rest(5);
  peak(run, 10.0);
  run.hold(Phase::discharge, 5.0, 3600.0, 10.0);
  peak(run, 10.0);
  const auto found = analyse(run.recording()).peak_current;
  REQUIRE(found.size() == 2);
  CHECK(found[0].charge == Approx(1.0));
  CHECK(found[1].charge == Approx(0.5).margin(0.005));
}

}  // namespace
}  // namespace sagbench::analysis
