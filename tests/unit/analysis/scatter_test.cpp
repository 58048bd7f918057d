#include "analysis/scatter.hpp"

#include <random>
#include <vector>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

TEST_CASE("a steady slope has no scatter, whatever the sampling") {
  const std::vector<Reading> readings = {{0, 1}, {1, 3}, {4, 9}, {4.5, 10}, {20, 41}};
  CHECK(scatter(readings) == Approx(0.0).margin(1e-12));
  CHECK(slope_per_s(readings) == Approx(2.0));
}

TEST_CASE("noise on a slope comes back as its standard deviation") {
  std::mt19937 random(7);  // the standard fixes its sequence, so this test does not waver
  std::vector<Reading> readings;
  double time_s = 0.0;
  for (int i = 0; i < 20000; ++i) {
    // Sum of twelve uniforms: variance 1 by arithmetic, the same on every library.
    double noise = -6.0;
    for (int k = 0; k < 12; ++k) noise += static_cast<double>(random()) / 4294967296.0;
    time_s += i % 3 == 0 ? 0.5 : 2.0;
    readings.push_back({time_s, 5.0 - 0.1 * time_s + 0.01 * noise});
  }
  // Relative standard error of the estimate is about 1 / sqrt(2 * 20000) times 1.4 for the shared
  // neighbours: 0.7 %.
  CHECK(scatter(readings) == Approx(0.01).epsilon(0.03));
}

TEST_CASE("too few readings tell no scatter") {
  CHECK(scatter({}) == 0.0);
  const std::vector<Reading> two = {{0, 1}, {1, 9}};
  CHECK(scatter(two) == 0.0);
  const std::vector<Reading> same_time = {{1, 1}, {1, 2}, {1, 3}};
  CHECK(scatter(same_time) == 0.0);
  CHECK(slope_per_s(same_time) == 0.0);
}

}  // namespace
}  // namespace sagbench::analysis
