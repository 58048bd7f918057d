// Certified values: tests/reference/nist_nonlinear_test.cpp.
#include "analysis/nonlinear_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <span>
#include <utility>
#include <vector>

#include "analysis/linear_fit.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

/// b0 exp(-i / b1) for i = 0, 1, 2 ...
bool decay(std::span<const double> b, std::span<double> predictions) {
  for (std::size_t i = 0; i < predictions.size(); ++i)
    predictions[i] = b[0] * std::exp(-static_cast<double>(i) / b[1]);
  return true;
}

/// b0 + b1 i
bool line(std::span<const double> b, std::span<double> predictions) {
  for (std::size_t i = 0; i < predictions.size(); ++i)
    predictions[i] = b[0] + b[1] * static_cast<double>(i);
  return true;
}

std::vector<double> predicted(bool (*model)(std::span<const double>, std::span<double>),
                              std::vector<double> parameters, std::size_t count) {
  std::vector<double> values(count);
  model(parameters, values);
  return values;
}

/// About a standard deviation of `sd`, the same on every library.
void make_noisy(std::vector<double>& values, double sd) {
  std::mt19937 random(11);
  for (double& value : values)
    value += sd * std::sqrt(12.0) * (static_cast<double>(random()) / 4294967296.0 - 0.5);
}

FitTask task_of(Model model, std::span<const double> observed, std::vector<double> start) {
  FitTask task;
  task.model = std::move(model);
  task.observed = observed;
  task.starts.push_back(std::move(start));
  return task;
}

TEST_CASE("exact observations give back what made them, at any scale") {
  for (const double scale : {1e-9, 1.0, 1e9}) {
    const auto observed = predicted(decay, {5.0 * scale, 8.0}, 40);
    const auto fit = fit_nonlinear(task_of(decay, observed, {scale, 1.0}));
    INFO(scale << " " << fit.why());
    REQUIRE(fit);
    CHECK(fit->value(0) == Approx(5.0 * scale).epsilon(1e-10));
    CHECK(fit->value(1) == Approx(8.0).epsilon(1e-10));
    CHECK(fit->residual_sd < 1e-12 * scale);
  }
}

TEST_CASE("of a line the same as by linear least squares") {
  auto observed = predicted(line, {3.0, -0.2}, 30);
  make_noisy(observed, 0.1);
  std::vector<double> x;
  for (int i = 0; i < 30; ++i) x.push_back(i);
  const auto linear = fit_polynomial(x, observed, 1);
  const auto fit = fit_nonlinear(task_of(line, observed, {0.0, 1.0}));
  REQUIRE(linear);
  REQUIRE(fit);
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(fit->value(i) == Approx(linear->value(i)).epsilon(1e-9));
    CHECK(*fit->parameters[i].standard_error ==
          Approx(*linear->parameters[i].standard_error).epsilon(1e-9));
  }
  CHECK(fit->correlation(0, 1) == Approx(linear->correlation(0, 1)).epsilon(1e-9));
  CHECK(fit->residual_sd == Approx(linear->residual_sd).epsilon(1e-9));
  CHECK(fit->residuals.back() == Approx(linear->residuals.back()).epsilon(1e-6));
  CHECK(fit->doubt_of(std::vector{1.0, 12.0}) ==
        Approx(linear->doubt_of(std::vector{1.0, 12.0})).epsilon(1e-9));
}

// Twice the standard deviation is the same as a quarter of the observations.
TEST_CASE("observations weigh by their standard deviations") {
  const std::vector<double> once = {1.0, 1.0, 1.0, 1.0, 2.0};
  const std::vector<double> weighed = {1.0, 2.0};
  const std::vector<double> deviations = {0.5, 1.0};
  const Model constant = [](std::span<const double> b, std::span<double> predictions) {
    std::ranges::fill(predictions, b[0]);
    return true;
  };
  auto task = task_of(constant, weighed, {1.0});
  task.standard_deviations = deviations;
  const auto fit = fit_nonlinear(task);
  const auto same = fit_nonlinear(task_of(constant, once, {1.0}));
  REQUIRE(fit);
  REQUIRE(same);
  CHECK(fit->value(0) == Approx(1.2));
  CHECK(same->value(0) == Approx(1.2));
  // Residuals -0.2 / 0.5 and 0.8 / 1.
  CHECK(fit->residual_sd == Approx(std::sqrt(0.8)));
  CHECK(*fit->parameters[0].standard_error == Approx(std::sqrt(0.8 / 5.0)));
  CHECK(fit->residuals[1] == Approx(0.8));
}

TEST_CASE("outliers pull no harder than Huber's width, and widen the doubt a little") {
  auto observed = predicted(decay, {5.0, 8.0}, 60);
  make_noisy(observed, 0.01);
  const auto clean = fit_nonlinear(task_of(decay, observed, {4.0, 5.0}));
  for (const std::size_t at : {7U, 23U, 40U}) observed[at] += 3.0;
  auto task = task_of(decay, observed, {4.0, 5.0});
  const auto pulled = fit_nonlinear(task);
  task.huber = 0.015;
  const auto robust = fit_nonlinear(task);
  REQUIRE(clean);
  REQUIRE(pulled);
  INFO(robust.why());
  REQUIRE(robust);
  CHECK(std::abs(pulled->value(1) - 8.0) > 0.5);
  CHECK(std::abs(robust->value(1) - 8.0) < 4.0 * *clean->parameters[1].standard_error);
  CHECK(robust->residual_sd > clean->residual_sd);
  CHECK(robust->residual_sd < 2.0 * clean->residual_sd);
}

TEST_CASE("a wide Huber loss is none") {
  auto observed = predicted(decay, {5.0, 8.0}, 60);
  make_noisy(observed, 0.01);
  auto task = task_of(decay, observed, {4.0, 5.0});
  const auto plain = fit_nonlinear(task);
  task.huber = 10.0;
  const auto robust = fit_nonlinear(task);
  REQUIRE(plain);
  REQUIRE(robust);
  CHECK(robust->value(1) == Approx(plain->value(1)).epsilon(1e-10));
  CHECK(*robust->parameters[1].standard_error ==
        Approx(*plain->parameters[1].standard_error).epsilon(1e-10));
}

TEST_CASE("a parameter at its bound has no standard error, the others theirs") {
  const auto observed = predicted(line, {3.0, -0.2}, 30);
  auto task = task_of(line, observed, {1.0, 1.0});
  task.bounds = {{}, {0.0, 2.0}};
  const auto fit = fit_nonlinear(task);
  INFO(fit.why());
  REQUIRE(fit);
  CHECK(fit->value(1) == 0.0);
  CHECK_FALSE(fit->parameters[1].standard_error);
  CHECK(fit->value(0) == Approx(3.0 - 0.2 * 14.5));
  CHECK(*fit->parameters[0].standard_error == Approx(fit->residual_sd / std::sqrt(30.0)));
  CHECK(fit->correlation(0, 1) == 0.0);
  CHECK(fit->doubt_of(std::vector{1.0, 5.0}) == Approx(*fit->parameters[0].standard_error));
}

TEST_CASE("a model is never asked beyond the bounds") {
  const auto observed = predicted(decay, {5.0, 8.0}, 40);
  bool asked_beyond = false;
  auto task = task_of(
      [&](std::span<const double> b, std::span<double> predictions) {
        asked_beyond = asked_beyond || b[0] < 0.0 || b[0] > 5.0 || b[1] < 0.5 || b[1] > 100.0;
        return decay(b, predictions);
      },
      observed, {5.0, 0.5});
  task.bounds = {{0.0, 5.0}, {0.5, 100.0}};
  const auto fit = fit_nonlinear(task);
  REQUIRE(fit);
  CHECK(fit->value(1) == Approx(8.0).epsilon(1e-8));
  CHECK_FALSE(asked_beyond);
}

// sin(b i): many local minima.
TEST_CASE("the lowest of many minima is found, or none is claimed") {
  const Model wave = [](std::span<const double> b, std::span<double> predictions) {
    for (std::size_t i = 0; i < predictions.size(); ++i)
      predictions[i] = std::sin(b[0] * static_cast<double>(i));
    return true;
  };
  std::vector<double> observed(60);
  wave(std::vector{0.7}, observed);
  make_noisy(observed, 0.1);
  auto task = task_of(wave, observed, {2.0});
  task.bounds = {{0.01, 3.0}};
  const auto best = fit_nonlinear(task);
  INFO(best.why());
  REQUIRE(best);
  CHECK(best->value(0) == Approx(0.7).epsilon(0.01));
  task.more_starts = 2;  // too few to be sure
  const auto unsure = fit_nonlinear(task);
  CHECK_FALSE(unsure);
  CHECK(mentions(unsure.why(), "starts lead to the least squares found"));
}

TEST_CASE("parameters that the observations do not tell apart are named") {
  const auto observed = predicted(decay, {5.0, 8.0}, 40);
  const auto fit = fit_nonlinear(task_of(
      [](std::span<const double> b, std::span<double> predictions) {
        return decay(std::vector{b[0] * b[2], b[1]}, predictions);
      },
      observed, {1.0, 5.0, 1.0}));
  CHECK_FALSE(fit);
  CHECK(mentions(fit.why(), "do not tell parameter"));
}

TEST_CASE("what cannot be fitted has a reason") {
  const std::vector<double> few = {1.0, 2.0}, some = {1.0, 0.5, 0.25, 0.1};
  CHECK(mentions(fit_nonlinear(task_of(decay, {}, {1.0, 1.0})).why(), "0 observations"));
  CHECK(mentions(fit_nonlinear(task_of(decay, std::vector{1.0}, {1.0, 1.0})).why(),
                 "1 observations"));
  CHECK(mentions(fit_nonlinear(task_of(decay, few, {1.0, 1.0})).why(), "2 observations"));
  CHECK(mentions(fit_nonlinear(task_of(decay, some, {})).why(), "no parameter"));
  CHECK(mentions(fit_nonlinear(task_of(decay, some, {kNan, 1.0})).why(), "start value 1"));
  for (const double bad : {kNan, kInfinity, -kInfinity}) {
    const std::vector<double> observed = {1.0, 0.5, bad, 0.1};
    CHECK(mentions(fit_nonlinear(task_of(decay, observed, {1.0, 1.0})).why(), "observation 3"));
  }
  FitTask task;
  task.model = decay;
  task.observed = some;
  CHECK(mentions(fit_nonlinear(task).why(), "no start"));
  task.starts = {{1.0, 1.0}, {1.0}};
  CHECK(mentions(fit_nonlinear(task).why(), "differ in length"));
  task = task_of(decay, some, {1.0, 1.0});
  task.bounds = {{}};
  CHECK(mentions(fit_nonlinear(task).why(), "as many bounds"));
  task.bounds = {{2.0, 3.0}, {}};
  CHECK(mentions(fit_nonlinear(task).why(), "start value 1 is out of its bounds"));
  task.bounds = {{}, {1.0, 1.0}};
  CHECK(mentions(fit_nonlinear(task).why(), "lower bound"));
  task.bounds.clear();
  task.standard_deviations = few;
  CHECK(mentions(fit_nonlinear(task).why(), "as many standard deviations"));
  const std::vector<double> zero = {1.0, 1.0, 0.0, 1.0};
  task.standard_deviations = zero;
  CHECK(mentions(fit_nonlinear(task).why(), "above zero"));
  task.standard_deviations = {};
  task.huber = 0.0;
  CHECK(mentions(fit_nonlinear(task).why(), "width of the loss"));
}

TEST_CASE("a model that predicts nothing, nonsense, or only the start has a reason") {
  const std::vector<double> some = {1.0, 0.5, 0.25, 0.1};
  const auto refuses = [](std::span<const double>, std::span<double>) { return false; };
  const auto nonsense = [](std::span<const double>, std::span<double> predictions) {
    std::ranges::fill(predictions, kNan);
    return true;
  };
  const auto start_only = [](std::span<const double> b, std::span<double> predictions) {
    return b[0] == 1.0 && decay(b, predictions);
  };
  for (const Model& model : {Model(refuses), Model(nonsense), Model(start_only)}) {
    const auto fit = fit_nonlinear(task_of(model, some, {1.0, 1.0}));
    CHECK_FALSE(fit);
    CHECK(mentions(fit.why(), "cannot be evaluated"));
  }
}

TEST_CASE("observations that are all the same, or zero, are no figure of a decay") {
  for (const double value : {0.0, 7.0}) {
    const std::vector<double> observed(30, value);
    const auto fit = fit_nonlinear(task_of(decay, observed, {1.0, 5.0}));
    CHECK_FALSE(fit);
    CHECK_FALSE(fit.why().empty());
  }
}

TEST_CASE("two million observations") {
  const auto observed = predicted(line, {3.0, -2e-6}, 2'000'000);
  auto task = task_of(line, observed, {1.0, 1e-6});
  task.more_starts = 0;
  const auto fit = fit_nonlinear(task);
  REQUIRE(fit);
  CHECK(fit->value(0) == Approx(3.0).epsilon(1e-9));
  CHECK(fit->value(1) == Approx(-2e-6).epsilon(1e-9));
}

}  // namespace
}  // namespace sagbench::analysis
