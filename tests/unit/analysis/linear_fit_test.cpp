// Certified values: tests/reference/nist_linear_test.cpp.
#include "analysis/linear_fit.hpp"

#include <cmath>
#include <limits>
#include <vector>

#include "analysis/straight_line.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;

TEST_CASE("a straight line is the same by columns and point by point") {
  const std::vector<double> x = {1.0, 2.0, 4.0, 7.0, 11.0}, y = {2.1, 3.9, 8.2, 13.8, 22.1};
  StraightLine line;
  for (std::size_t i = 0; i < x.size(); ++i) line.add(x[i], y[i]);
  const auto fit = fit_polynomial(x, y, 1);
  REQUIRE(fit);
  CHECK(fit->value(0) == Approx(line.at(0.0)).epsilon(1e-12));
  CHECK(fit->value(1) == Approx(line.slope()).epsilon(1e-12));
  CHECK(fit->residual_sd == Approx(line.residual_sd()).epsilon(1e-12));
  CHECK(*fit->parameters[1].standard_error ==
        Approx(line.residual_sd() * line.slope_doubt()).epsilon(1e-12));
  for (const double at : {0.0, 5.0, 30.0})
    CHECK(fit->doubt_of(std::vector{1.0, at}) ==
          Approx(line.residual_sd() * line.doubt_at(at)).epsilon(1e-12));
}

TEST_CASE("a polynomial that was put in comes out, whatever the scales") {
  for (const double x_scale : {1e-9, 1.0, 1e9})
    for (const double y_scale : {1e-9, 1.0, 1e9}) {
      std::vector<double> x, y;
      for (int i = 0; i < 50; ++i) {
        x.push_back(x_scale * i);
        y.push_back(y_scale * (2.0 - 3.0 * i + 0.25 * i * i));
      }
      const auto fit = fit_polynomial(x, y, 2);
      REQUIRE(fit);
      CHECK(fit->value(0) == Approx(2.0 * y_scale).epsilon(1e-10));
      CHECK(fit->value(1) == Approx(-3.0 * y_scale / x_scale).epsilon(1e-10));
      CHECK(fit->value(2) == Approx(0.25 * y_scale / x_scale / x_scale).epsilon(1e-10));
      CHECK(*fit->r_squared == Approx(1.0));
    }
}

TEST_CASE("a line through two million observations") {
  Eigen::MatrixXd columns(2'000'000, 2);
  std::vector<double> observed;
  for (Eigen::Index i = 0; i < columns.rows(); ++i) {
    columns(i, 0) = 1.0;
    columns(i, 1) = 1e-3 * static_cast<double>(i);
    observed.push_back(12.0 - 0.5 * columns(i, 1) + (i % 2 == 0 ? 0.1 : -0.1));
  }
  const auto fit = fit_linear(columns, observed);
  REQUIRE(fit);
  CHECK(fit->value(0) == Approx(12.0).epsilon(1e-6));
  CHECK(fit->value(1) == Approx(-0.5).epsilon(1e-9));
  CHECK(fit->residual_sd == Approx(0.1).epsilon(1e-5));
}

TEST_CASE("what no line goes through has a reason") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<double> x = {1.0, 2.0, 3.0}, y = {1.0, 2.0, 4.0};
  CHECK(mentions(fit_polynomial({}, {}, 1).why(), "0 observations"));
  CHECK(mentions(fit_polynomial(std::vector{1.0}, std::vector{1.0}, 0).why(), "1 observations"));
  CHECK(mentions(fit_polynomial(x, y, 2).why(), "3 observations do not do for 3 parameters"));
  CHECK(mentions(fit_polynomial(x, y, 5).why(), "3 observations do not do for 6 parameters"));
  CHECK(mentions(fit_polynomial(x, std::vector{1.0, nan, 2.0}, 1).why(), "observation 2"));
  CHECK(mentions(fit_polynomial(x, std::vector{1.0, 2.0, infinity}, 1).why(), "observation 3"));
  CHECK(mentions(fit_polynomial(std::vector{1.0, nan, 2.0}, y, 1).why(), "column"));
  CHECK(mentions(fit_polynomial(std::vector(3, 7.0), y, 1).why(), "do not tell parameter"));
  CHECK(mentions(fit_linear(Eigen::MatrixXd(3, 0), y).why(), "no parameter"));
  CHECK(mentions(fit_polynomial(x, std::vector{1e200, -1e200, 1e200}, 1).why(), "squared"));
}

TEST_CASE("constant observations have a mean and nothing to explain") {
  const auto fit = fit_polynomial(std::vector{1.0, 2.0, 3.0, 4.0}, std::vector(4, 0.1), 1);
  REQUIRE(fit);
  CHECK(fit->value(0) == Approx(0.1));
  CHECK(fit->value(1) == Approx(0.0).margin(1e-15));
  CHECK_FALSE(fit->r_squared);
  CHECK(mentions(fit->r_squared.why(), "vary"));
}

TEST_CASE("nothing but zeros leaves a line through the origin nothing to explain") {
  const Eigen::MatrixXd columns = Eigen::Vector3d(1.0, 2.0, 3.0);
  const auto fit = fit_linear(columns, std::vector(3, 0.0));
  REQUIRE(fit);
  CHECK(fit->value(0) == 0.0);
  CHECK(fit->r_squared.why() == "all observations are zero");
}

}  // namespace
}  // namespace sagbench::analysis
