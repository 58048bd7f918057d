// Straight trends: the line, what is in doubt about it, and where it meets a level.
#include "analysis/trend.hpp"

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "catch.hpp"
#include "thermometer.hpp"

namespace sagbench::analysis {
namespace {

using Points = std::vector<TrendPoint>;

TrendPoint point(double x, double y, double standard_u) {
  return {x, {y, 2.0 * standard_u, 2.0}};
}

// Capacities over days. The line was worked by exact fractions outside this program.
Points ageing_pack() {
  return {point(0, 9.95, 0.02), point(200, 9.81, 0.04), point(430, 9.72, 0.02),
          point(700, 9.50, 0.05), point(1000, 9.35, 0.02)};
}

}  // namespace

TEST_CASE("the calibration line of a thermometer as a trend, JCGM 100:2008, H.3") {
  // No uncertainty of each: the scatter tells. Nine degrees of freedom: Student's factor is 2.26.
  Points points;
  for (const auto& [reading, correction] : testing::kThermometer)
    points.push_back(point(reading, correction, 0));
  const auto line = trend(points);
  REQUIRE(line);
  CHECK(line->by_scatter);
  CHECK(line->significant());
  CHECK(line->slope.value == Approx(0.0021826977).epsilon(1e-7));
  CHECK(line->slope.expanded_uncertainty == Approx(2.26 * 0.0006679388).epsilon(1e-6));
  CHECK(line->slope.coverage_factor == 2.26);
  CHECK(line->at(20.0).value == Approx(-0.171203790).epsilon(1e-8));
  CHECK(line->at(20.0).expanded_uncertainty == Approx(2.26 * 0.002877598).epsilon(1e-6));
  CHECK(line->at(30.0).value == Approx(-0.149376813).epsilon(1e-8));
  CHECK(line->at(30.0).expanded_uncertainty == Approx(2.26 * 0.004138596).epsilon(1e-6));
}

TEST_CASE("points count by their uncertainties, which the line inherits") {
  const auto line = trend(ageing_pack());
  REQUIRE(line);
  CHECK_FALSE(line->by_scatter);
  CHECK(line->at(0.0).value == Approx(9.956056745020302).epsilon(1e-10));
  CHECK(line->slope.value == Approx(-0.000601541143542229).epsilon(1e-10));
  CHECK(line->at(0.0).expanded_uncertainty == Approx(2.0 * 0.016786398689906116).epsilon(1e-10));
  CHECK(line->slope.expanded_uncertainty == Approx(2.0 * 2.7470676442115314e-05).epsilon(1e-10));
}

TEST_CASE("one point of half the uncertainty counts as four") {
  const Points once = {point(0, 10, 0.01), point(100, 9.9, 0.02), point(300, 9.7, 0.02)};
  Points four_times(4, point(0, 10, 0.02));
  four_times.insert(four_times.end(), once.begin() + 1, once.end());
  const auto one = trend(once), other = trend(four_times);
  REQUIRE(one);
  REQUIRE(other);
  CHECK(one->slope.value == Approx(other->slope.value));
  CHECK(one->slope.expanded_uncertainty == Approx(other->slope.expanded_uncertainty));
  CHECK(one->at(500).expanded_uncertainty == Approx(other->at(500).expanded_uncertainty));
}

TEST_CASE("a trend meets a level where its band holds it") {
  const auto line = trend(ageing_pack());
  REQUIRE(line);
  const Crossing worn = line->meets(9.0);
  CHECK(line->at(worn.x).value == Approx(9.0));
  CHECK(worn.earliest < worn.x);
  CHECK(worn.x < worn.latest);
  const Measured early = line->at(worn.earliest), late = line->at(worn.latest);
  CHECK(early.value - early.expanded_uncertainty == Approx(9.0));
  CHECK(late.value + late.expanded_uncertainty == Approx(9.0));
}

TEST_CASE("the intervals hold the truth as often as they say") {
  std::mt19937 random(7);
  std::normal_distribution<double> noise(0.0, 1.0);
  constexpr int kTrials = 2000;
  int slopes = 0, crossings = 0;
  for (int trial = 0; trial < kTrials; ++trial) {
    Points points;
    for (const double day : {0.0, 180.0, 400.0, 600.0, 900.0, 1100.0})
      points.push_back(point(day, 10.0 - 1e-3 * day + 0.03 * noise(random), 0.03));
    const auto line = trend(points);
    REQUIRE(line->significant());
    slopes += std::abs(line->slope.value + 1e-3) <= line->slope.expanded_uncertainty;
    const Crossing worn = line->meets(8.0);
    crossings += worn.earliest <= 2000.0 && 2000.0 <= worn.latest;
  }
  // 95.4 % and, by scatter where that is more, above; four standard deviations of the count below.
  CHECK(slopes > 0.935 * kTrials);
  CHECK(crossings > 0.935 * kTrials);
}

TEST_CASE("what no line goes through has no trend, and says why") {
  const auto why = [](const Points& points) { return trend(points).why(); };
  CHECK(why({}).find("0 are there") != std::string::npos);
  CHECK(why({point(0, 1, 1)}).find("1 is there") != std::string::npos);
  CHECK(why({point(0, 1, 1), point(1, 1, 1)}).find("2 are there") != std::string::npos);
  CHECK(why(Points(3, point(5, 1, 1))).find("same time") != std::string::npos);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(why({point(0, 1, 1), point(1, nan, 1), point(2, 1, 1)}).find("finite") !=
        std::string::npos);
}

TEST_CASE("scatter beyond the stated uncertainties widens the line") {
  const auto line = trend(Points{point(0, 10.0, 0.001), point(100, 9.7, 0.001),
                                 point(200, 9.9, 0.001), point(300, 9.6, 0.001)});
  REQUIRE(line);
  CHECK(line->by_scatter);
  CHECK_FALSE(line->significant());
}

}  // namespace sagbench::analysis
