// Is it noise? By hand, and against the distribution's closed forms.
#include "analysis/whiteness.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>
#include <vector>

#include "catch.hpp"

using sagbench::analysis::whiteness;

// r1 = -3 / 4; Q = 4 * 6 * (9 / 16) / 3 = 4.5. Chi squared with one degree of freedom is the square
// of a standard normal: p = erfc(sqrt(Q / 2)).
TEST_CASE("four residuals that alternate, by hand") {
  const std::vector<double> residuals = {1.0, -1.0, 1.0, -1.0};
  const auto found = whiteness(residuals, 1);
  CHECK(found.lag_1 == Approx(-0.75));
  CHECK(found.statistic == Approx(4.5));
  CHECK(found.p_value == Approx(std::erfc(std::sqrt(4.5 / 2.0))));
}

// r1 = -5 / 6, r2 = 4 / 6; Q = 6 * 8 * (25 / 36 / 5 + 16 / 36 / 4) = 12. With two degrees of
// freedom p = exp(-Q / 2).
TEST_CASE("two lags") {
  const std::vector<double> residuals = {1.0, -1.0, 1.0, -1.0, 1.0, -1.0};
  const auto found = whiteness(residuals, 2);
  CHECK(found.statistic == Approx(12.0));
  CHECK(found.p_value == Approx(std::exp(-6.0)));
}

TEST_CASE("noise passes nineteen times of twenty, a slow course never") {
  std::mt19937 engine(7);
  std::normal_distribution<double> noise;
  int rejected = 0;
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<double> residuals(300);
    for (double& residual : residuals) residual = noise(engine);
    if (whiteness(residuals).p_value < 0.05) ++rejected;
    for (std::size_t i = 1; i < residuals.size(); ++i) residuals[i] += 0.5 * residuals[i - 1];
    CHECK(whiteness(residuals).p_value < 1e-3);
  }
  CHECK(rejected >= 3);  // 10 are expected, give or take 3.1
  CHECK(rejected <= 20);
}

// Means of 30 readings each, of 3000: a fit of 100 parameters.
TEST_CASE("what a fit has taken from its residuals is no course") {
  std::mt19937 engine(7);
  std::normal_distribution<double> noise;
  int rejected = 0, rejected_blindly = 0;
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<double> residuals(3000);
    for (double& residual : residuals) residual = noise(engine);
    for (auto part = residuals.begin(); part != residuals.end(); part += 30) {
      const double mean = std::accumulate(part, part + 30, 0.0) / 30.0;
      std::for_each(part, part + 30, [&](double& residual) { residual -= mean; });
    }
    if (whiteness(residuals, 10, 100).p_value < 0.05) ++rejected;
    if (whiteness(residuals, 10).p_value < 0.05) ++rejected_blindly;
  }
  CHECK(rejected >= 3);  // 10 are expected, give or take 3.1
  CHECK(rejected <= 20);
  CHECK(rejected_blindly > 100);
}

TEST_CASE("nothing can be said of none, of few and of zeros") {
  CHECK(whiteness({}).p_value == 1.0);
  const std::vector<double> zeros(100, 0.0), few(20, 1.0);
  CHECK(whiteness(zeros).p_value == 1.0);
  CHECK(whiteness(few).p_value == 1.0);
  CHECK(whiteness(few).lag_1 == 0.0);
}
