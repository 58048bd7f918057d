// The current at which a protection board opens.
#include "analysis/board_trip.hpp"

#include "analysis/sample_series.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::RunBuilder;

/// A peak of 20 A held, then a search at 21, 22 and 23 A.
RunBuilder searched() {
  RunBuilder run;
  run.step(StepKind::peak_current).rest(5).hold(Phase::peak, 20.0, 10.0, 0.1);
  for (const double current_a : {21.0, 22.0, 23.0})
    run.hold(Phase::recovery, 0.0, 10.0, 1.0).hold(Phase::trip_search, current_a, 2.0, 0.01);
  return run;
}

/// In the hold of 23 A nothing flows from so long after the edge on.
void open_after(RunBuilder& run, double seconds) {
  for (Sample& sample : run.recording().samples)
    if (sample.commanded_a == 23.0 && sample.time_s - *sample.commanded_since_s > seconds) {
      sample.current_a = 0.0;
      sample.voltage_v = 0.0;
    }
}

TEST_CASE("a board that did not open is said to have held the largest current") {
  auto run = searched();
  const auto trip = analyse(run.recording()).board_trip;
  REQUIRE(trip);
  CHECK_FALSE(trip->opened);
  CHECK(trip->held_a == 23.0);
}

TEST_CASE("a board that opened did so between two readings, and caps what the pack sustains") {
  auto run = searched();
  open_after(run, 0.4951);
  const Figures figures = analyse(run.recording());
  REQUIRE(figures.board_trip);
  CHECK(figures.board_trip->opened);
  CHECK(figures.board_trip->opened_a == 23.0);
  CHECK(figures.board_trip->held_a == 22.0);
  CHECK(figures.board_trip->not_before_s == Approx(0.49));
  CHECK(figures.board_trip->not_after_s == Approx(0.50));
  REQUIRE(figures.peak_current.size() == 1);
  CHECK(figures.peak_current[0].current_a == Approx(22.0));
  CHECK(figures.peak_current[0].limited_by == "pack limit");
}

TEST_CASE("a board that opened within the load's own settling is told by what stays away") {
  auto run = searched();
  open_after(run, 0.0151);
  const auto trip = analyse(run.recording()).board_trip;
  REQUIRE(trip);
  REQUIRE(trip->opened);
  CHECK(trip->not_before_s == Approx(0.01));
  CHECK(trip->not_after_s == Approx(0.02));
}

TEST_CASE("search holds are no peaks, and without a search there is no figure") {
  auto run = searched();
  CHECK(analyse(run.recording()).peaks.size() == 1);
  RunBuilder none;
  none.step(StepKind::peak_current).rest(5).hold(Phase::peak, 20.0, 10.0, 0.1);
  CHECK_FALSE(analyse(none.recording()).board_trip);
}

}  // namespace
}  // namespace sagbench::analysis
