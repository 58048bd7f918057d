#include "analysis/recording.hpp"

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

// The words are those of plan and archive files: a changed word would orphan stored runs.
TEST_CASE("step kinds and ends keep their stored names") {
  CHECK(name_of(StepKind::rest) == "rest");
  CHECK(name_of(StepKind::capacity) == "capacity");
  CHECK(name_of(StepKind::peak_current) == "peak-current");
  CHECK(name_of(StepKind::transmit) == "transmit");
  CHECK(name_of(StepKind::recharge) == "recharge");
  CHECK(name_of(StepKind::imported) == "imported");
  CHECK(name_of(StepEnd::completed) == "completed");
  CHECK(name_of(StepEnd::end_of_discharge) == "end_of_discharge");
  CHECK(name_of(StepEnd::cell_end_of_discharge) == "cell_end_of_discharge");
  CHECK(name_of(StepEnd::supply_min) == "supply_min");
  CHECK(name_of(StepEnd::protection_board) == "protection_board");
  CHECK(name_of(StepEnd::skipped) == "skipped");
  CHECK(name_of(StepEnd::interrupted) == "interrupted");
}

TEST_CASE("names lead back to what they name, and strangers to nothing") {
  for (int i = 0; i < 6; ++i) {
    const auto kind = static_cast<StepKind>(i);
    CHECK(step_kind_from(name_of(kind)) == kind);
  }
  for (int i = 0; i < 7; ++i) {
    const auto end = static_cast<StepEnd>(i);
    CHECK(step_end_from(name_of(end)) == end);
  }
  CHECK_FALSE(step_kind_from("peak_current"));
  CHECK_FALSE(step_end_from(""));
}

}  // namespace
}  // namespace sagbench::analysis
