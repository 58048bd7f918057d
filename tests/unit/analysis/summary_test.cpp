// Certified values: tests/reference/nist_univariate_test.cpp.
#include "analysis/summary.hpp"

#include <cmath>
#include <limits>
#include <vector>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST_CASE("a few values by hand") {
  const auto summary = summary_of(std::vector{1.0, 2.0, 3.0, 6.0});
  REQUIRE(summary);
  CHECK(summary->count == 4);
  CHECK(summary->mean == 3.0);
  CHECK(summary->standard_deviation == Approx(std::sqrt(14.0 / 3.0)));
  CHECK(summary->mean_u() == Approx(std::sqrt(14.0 / 12.0)));
  // (-2)(-1) + (-1)(0) + (0)(3) = 2, over 4 + 1 + 0 + 9.
  CHECK(*summary->lag_1_autocorrelation == Approx(2.0 / 14.0));
}

TEST_CASE("too few values, or values that are no numbers, have no summary but a reason") {
  CHECK(mentions(summary_of({}).why(), "two values"));
  CHECK(mentions(summary_of(std::vector{3.0}).why(), "two values"));
  CHECK(summary_of(std::vector{1.0, kNan}).why() == "value 2 is not a finite number");
  CHECK(summary_of(std::vector{-kInfinity, 2.0}).why() == "value 1 is not a finite number");
  CHECK(mentions(summary_of(std::vector{1e200, -1e200}).why(), "squared"));
  CHECK(mentions(summary_of(std::vector{1e-200, 2e-200}).why(), "squared"));
}

TEST_CASE("constant values do not vary, to the last digit, and have no autocorrelation") {
  const auto summary = summary_of(std::vector<double>(1001, 0.1));
  REQUIRE(summary);
  CHECK(summary->mean == 0.1);
  CHECK(summary->standard_deviation == 0.0);
  CHECK_FALSE(summary->lag_1_autocorrelation);
  CHECK(mentions(summary->lag_1_autocorrelation.why(), "vary"));
}

TEST_CASE("two million values of any size") {
  for (const double scale : {1e-9, 1.0, 1e9}) {
    std::vector<double> values;
    for (int i = 0; i < 2'000'000; ++i) values.push_back(scale * (1000.0 + (i % 2)));
    const auto summary = summary_of(values);
    REQUIRE(summary);
    CHECK(summary->mean == Approx(1000.5 * scale).epsilon(1e-14));
    CHECK(summary->standard_deviation == Approx(0.5 * scale).epsilon(1e-6));
    CHECK(*summary->lag_1_autocorrelation == Approx(-1.0).epsilon(1e-6));
  }
}

TEST_CASE("pairs that go together, against each other, and that tell nothing") {
  const std::vector<double> up = {1.0, 2.0, 3.0}, down = {9.0, 7.0, 5.0}, flat(3, 0.1);
  CHECK(*correlation_of(up, up) == Approx(1.0));
  CHECK(*correlation_of(up, down) == Approx(-1.0));
  CHECK(*correlation_of(up, std::vector{1.0, 0.0, 1.0}) == Approx(0.0).margin(1e-15));
  CHECK(mentions(correlation_of(up, flat).why(), "vary"));
  CHECK(mentions(correlation_of(std::vector{kNan, 1.0, 2.0}, up).why(), "value 1"));
  CHECK(mentions(correlation_of({}, {}).why(), "two values"));
}

}  // namespace
}  // namespace sagbench::analysis
