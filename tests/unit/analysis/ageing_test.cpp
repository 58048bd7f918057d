// When a pack is worn and when it is tested again, from made-up histories.
#include "analysis/ageing.hpp"

#include <vector>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

/// Capacities of a 10 Ah pack that loses `loss_ah` in each of `years`, known to `expanded_u`.
std::vector<TrendPoint> history(int tests, double loss_ah, double expanded_u) {
  std::vector<TrendPoint> points;
  for (int year = 0; year < tests; ++year)
    points.push_back({365.0 * year, {10.0 - loss_ah * year, expanded_u, 2.0}});
  return points;
}

WornDate worn(const std::vector<TrendPoint>& points) {
  return worn_date(trend(points), 10.0);
}

NextTest next(const std::vector<TrendPoint>& points) {
  return next_test(trend(points), points.back(), 8.0);
}

}  // namespace

TEST_CASE("a pack near its end has a date with both its ends") {
  const WornDate date = worn(history(5, 0.45, 0.02));  // 8.2 Ah at four years, 8 Ah at 4.44
  REQUIRE(date.earliest);
  REQUIRE(date.latest);
  CHECK(*date.earliest < 365 * 4.444);
  CHECK(*date.latest > 365 * 4.444);
  CHECK(*date.latest - *date.earliest < 100);
}

TEST_CASE("the trend is carried on by half of what was observed and no further") {
  const WornDate date = worn(history(5, 0.2, 0.02));  // 8 Ah at ten years; four were observed
  CHECK_FALSE(date.earliest);
  REQUIRE(date.not_before);
  CHECK(*date.not_before == Approx(365 * 6));
  CHECK_FALSE(date.why.empty());
  const WornDate wide = worn(history(5, 0.33, 0.25));  // 8 Ah at 6.06 years, in doubt
  REQUIRE(wide.earliest);
  CHECK_FALSE(wide.latest);
  CHECK(*wide.told_until == Approx(365 * 6));
}

TEST_CASE("without a trend, or with none that falls, no date can be told") {
  CHECK(worn(history(2, 1.0, 0.02)).why.find("three tests") != std::string::npos);
  CHECK(worn(history(5, 0.01, 0.2)).why.find("do not tell a fall") != std::string::npos);
  CHECK(worn(history(5, -0.3, 0.02)).why == "the capacity rises");
  CHECK_FALSE(worn(history(5, 0.01, 0.2)).earliest);
}

TEST_CASE("a pack that was worn before its last test is told the past date") {
  const WornDate date = worn(history(6, 0.5, 0.02));  // 8 Ah at four years, tested at five
  REQUIRE(date.latest);
  CHECK(*date.latest < 365 * 5);
}

TEST_CASE("a sound pack is tested again in a year, with one test or many") {
  CHECK(*next(history(1, 0.0, 0.02)).day == Approx(365));
  CHECK(*next(history(2, 0.3, 0.02)).day == Approx(2 * 365));
  CHECK(*next(history(5, 0.1, 0.02)).day == Approx(5 * 365));
}

TEST_CASE("a pack that may be worn within a year is tested half way there") {
  const auto points = history(5, 0.45, 0.02);
  const NextTest test = next(points);
  REQUIRE(test.day);
  CHECK(*test.day > points.back().x + 30);
  CHECK(*test.day < points.back().x + 365 * 0.444 / 2 + 1);
  // With more in doubt it may be earlier, and so the test comes earlier.
  CHECK(*next(history(5, 0.45, 0.05)).day < *test.day);
}

TEST_CASE("a pack on the edge is tested again in a month, a worn one is not") {
  CHECK(*next(history(5, 0.49, 0.1)).day == Approx(4 * 365 + 30));
  CHECK_FALSE(next(history(5, 0.6, 0.02)).day);
}

}  // namespace sagbench::analysis
