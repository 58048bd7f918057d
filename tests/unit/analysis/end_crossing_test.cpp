#include "analysis/end_crossing.hpp"

#include <vector>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

TEST_CASE("the crossing lies on the line between the readings around it") {
  const std::vector<Reading> readings = {{0, 12}, {10, 11}, {20, 9}};
  const auto crossing = last_crossing(readings, 10.5);
  REQUIRE(crossing);
  CHECK(crossing->time_s == Approx(12.5));
  CHECK(crossing->gap_s == Approx(10.0));
}

TEST_CASE("lost readings around the crossing leave it in doubt over the whole gap") {
  const std::vector<Reading> paced = {{0, 14}, {1, 13}, {2, 12}, {4, 9}};
  CHECK(last_crossing(paced, 10.0)->doubt_s == 0.0);
  const std::vector<Reading> lost = {{0, 14}, {1, 13}, {2, 12}, {6, 8}};
  CHECK(last_crossing(lost, 11.0)->time_s == Approx(3.0));
  CHECK(last_crossing(lost, 11.0)->doubt_s == Approx(3.0));
  CHECK(last_crossing(lost, 9.0)->doubt_s == Approx(3.0));
}

TEST_CASE("a reading that stood still before it fell leaves the crossing in doubt since then") {
  const std::vector<Reading> frozen = {{0, 14},   {1, 13.5}, {2, 13},   {3, 12.5}, {4, 12.5},
                                       {5, 12.5}, {6, 12.5}, {7, 12.5}, {8, 8.5}};
  CHECK(last_crossing(frozen, 10.5)->time_s == Approx(7.5));
  CHECK(last_crossing(frozen, 10.5)->doubt_s == Approx(4.5));
}

TEST_CASE("a coarse digit that falls step by step leaves no doubt") {
  std::vector<Reading> readings;
  for (int i = 0; i < 60; ++i) readings.push_back({i * 1.0, 12.0 - 0.1 * (i / 6)});
  CHECK(last_crossing(readings, 11.35)->doubt_s == 0.0);
}

TEST_CASE("a dip that the procedure rode out is not the end") {
  const std::vector<Reading> readings = {{0, 12}, {1, 9.9}, {2, 10.2}, {3, 9.8}, {4, 9.6}};
  CHECK(last_crossing(readings, 10.0)->time_s == Approx(2.5));
  CHECK(first_crossing(readings, 10.0)->time_s == Approx(2.0 / 2.1));
}

TEST_CASE("readings after the decision do not hide the crossing") {
  const std::vector<Reading> readings = {{0, 12}, {1, 10.1}, {2, 9.9}, {3, 11.0}};
  CHECK(last_crossing(readings, 10.0)->time_s == Approx(1.5));
}

TEST_CASE("a reading exactly at the end voltage is the crossing") {
  const std::vector<Reading> readings = {{0, 12}, {10, 10}};
  CHECK(last_crossing(readings, 10.0)->time_s == Approx(10.0));
}

TEST_CASE("without a reading on each side there is no crossing") {
  const std::vector<Reading> above = {{0, 12}, {10, 11}};
  const std::vector<Reading> below = {{0, 9}, {10, 8}};
  for (const auto& readings : {above, below, std::vector<Reading>{}}) {
    CHECK_FALSE(last_crossing(readings, 10.0));
    CHECK_FALSE(first_crossing(readings, 10.0));
  }
}

TEST_CASE("the fall at the end is that of the last readings") {
  std::vector<Reading> readings;
  for (int i = 0; i <= 1000; ++i)
    readings.push_back({i * 1.0, i < 900 ? 12.0 : 12.0 - 0.02 * (i - 900)});
  const auto crossing = last_crossing(readings, 10.1);
  REQUIRE(crossing);
  CHECK(crossing->fall_v_per_s == Approx(0.02));
  CHECK(crossing->scatter_v == Approx(0.0).margin(1e-12));
}

}  // namespace
}  // namespace sagbench::analysis
