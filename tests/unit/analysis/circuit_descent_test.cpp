// Steps to the best parameters, some of which end at what is allowed.
#include "analysis/circuit_descent.hpp"

#include <cmath>
#include <random>

#include "analysis/circuit_candidates.hpp"
#include "analysis/circuit_fit.hpp"
#include "catch.hpp"

using namespace sagbench::analysis;

namespace {

/// The parabola with this slope at (0, 1), and curvatures that hang together.
CircuitSystem::Sums parabola(double slope_x, double slope_y) {
  CircuitSystem::Sums sums;
  sums.gradient = Eigen::Vector2d(slope_x, slope_y);
  sums.normal = Eigen::Matrix2d({{2.0, 1.0}, {1.0, 2.0}});
  return sums;
}

ParameterBounds from_zero_to(double high) {
  return {Eigen::Vector2d::Zero(), Eigen::Vector2d::Constant(high)};
}

Eigen::Vector2d step(const CircuitSystem::Sums& sums, double high) {
  return bounded_step(sums, Eigen::Vector2d(0.0, 1.0), from_zero_to(high), 0.0);
}

/// One branch and noise.
PulseTrain record() {
  std::mt19937 engine(3);
  std::normal_distribution<double> noise(0.0, 1e-3);
  PulseTrain train;
  double seen_a = 0.0, removed_ah = 0.0, before_a = 0.0;
  for (int i = 0; i < 6000; ++i) {
    const double now_a = i % 400 < 100 ? 10.0 : 0.0, seconds = i == 0 ? 0.0 : 0.1;
    seen_a = now_a + (seen_a - now_a) * std::exp(-seconds / 3.0);
    removed_ah += now_a * seconds / 3600.0;
    train.push_back({.time_s = i * 0.1,
                     .after_s = seconds,
                     .before_a = before_a,
                     .current_a = now_a,
                     .voltage_v = 13.4 - 0.02 * now_a - 0.01 * seen_a + noise(engine),
                     .removed_ah = removed_ah});
    before_a = now_a;
  }
  return train;
}

}  // namespace

TEST_CASE("a step leads to the minimum where no bound is in the way") {
  CHECK((step(parabola(-1.0, 1.0), 9.0) - Eigen::Vector2d(1.0, -1.0)).norm() < 1e-9);
}

TEST_CASE("where the minimum is beyond a bound, the others step to the least on it") {
  // Freely it would be (4/3, -5/3), which is beyond y = 0; on y = 0 the least is at x = 1.
  CHECK((step(parabola(-1.0, 2.0), 9.0) - Eigen::Vector2d(1.0, -1.0)).norm() < 1e-9);
  CHECK((step(parabola(-1.0, 2.0), 1.0) - Eigen::Vector2d(1.0, -1.0)).norm() < 1e-9);
}

TEST_CASE("a parameter that is pushed against its bound stays, and does not hinder the others") {
  CHECK((step(parabola(3.0, 1.0), 9.0) - Eigen::Vector2d(0.0, -0.5)).norm() < 1e-9);
}

TEST_CASE("damping makes steps shorter, and a parameter that nothing tells of does not move") {
  CircuitSystem::Sums sums = parabola(-2.0, 0.0);
  sums.normal = Eigen::Matrix2d({{2.0, 0.0}, {0.0, 0.0}});
  const Eigen::Vector2d at(0.0, 1.0);
  CHECK((bounded_step(sums, at, from_zero_to(9.0), 1.0) - Eigen::Vector2d(0.5, 0.0)).norm() < 1e-9);
}

TEST_CASE("the way down ends where no parameter could still lower the cost") {
  const PulseTrain train = record();
  const CircuitTask task({&train, 1}, 1.0);
  const CircuitSystem system(task.record, 3);  // two branches more than there are
  CircuitParameters parameters = start_from(system, spread_over(task.range, 3));
  const double huber_v = task.allowed_v(system, parameters);
  const double before = system.sums(parameters.data(), huber_v).cost;
  improve(system, task.range, huber_v, parameters);
  const auto sums = system.sums(parameters.data(), huber_v);
  CHECK(sums.cost < before);
  int held = 0;
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    const auto at = static_cast<Eigen::Index>(i);
    const bool is_ohm = i >= system.first_ohm(0) && i < system.log_tau(1);
    if (is_ohm) CHECK(parameters[i] >= 0.0);
    const bool pushed = is_ohm && parameters[i] == 0.0 && sums.gradient[at] > 0.0;
    held += pushed ? 1 : 0;
    // What a step of this parameter alone would still gain.
    if (!pushed && i < system.log_tau(1) && sums.normal(at, at) > 0.0)
      CHECK(sums.gradient[at] * sums.gradient[at] / sums.normal(at, at) < 1e-6 * sums.cost);
  }
  CHECK(held > 0);
}
