#include "analysis/circuit_candidates.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <future>
#include <utility>

#include "analysis/circuit_fit.hpp"
#include "analysis/circuit_knots.hpp"
#include "analysis/whiteness.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kMostLag = 0.9999;
constexpr double kExact_v = 1e-6;  // below, one circuit is as good as the other

struct Trial {
  CircuitCandidate candidate;
  bool sound = false;
  std::vector<double> residuals_v;  // an outlier as far off as it pulls
};

Trial trial(const CircuitTask& task, std::size_t branches) {
  const CircuitSystem few(task.record, branches, CircuitSystem::Readings::few);
  CircuitParameters parameters = start_from(few, spread_over(task.range, branches));
  const double huber_v = task.allowed_v(few, parameters);
  const bool found = improve(few, task.range, huber_v, parameters);
  std::vector<double> residuals_v = voltages_of(few.residuals(parameters.data()));
  for (double& residual_v : residuals_v) residual_v = std::clamp(residual_v, -huber_v, huber_v);
  const bool sound = is_sound(few, task.range, parameters);
  return {{branches, std::move(parameters), found}, sound, std::move(residuals_v)};
}

/// Of what each residual adds to `lag_1` times the one before.
double mean_square(const std::vector<double>& residuals_v, double lag_1) {
  double squares = 0.0, before_v = 0.0;
  for (const double residual_v : residuals_v) {
    const double new_v = residual_v - lag_1 * before_v;
    squares += new_v * new_v;
    before_v = residual_v;
  }
  return squares / static_cast<double>(residuals_v.size());
}

double criterion(const Trial& trial, double lag_1) {
  const auto count = static_cast<double>(trial.residuals_v.size());
  return count * std::log(mean_square(trial.residuals_v, lag_1) + kExact_v * kExact_v) +
         static_cast<double>(trial.candidate.parameters.size()) * std::log(count);
}

/// Of the nearest of all: what no number of branches explains.
double common_lag(const std::vector<Trial>& trials) {
  const auto& nearest = *std::ranges::min_element(
      trials, {}, [](const Trial& one) { return mean_square(one.residuals_v, 0.0); });
  return usable_lag(whiteness(nearest.residuals_v, 1).lag_1);
}

}  // namespace

CircuitTask::CircuitTask(std::span<const PulseTrain> trains, double full_ah)
    : record(trains, source_knots(trains, full_ah), resistance_knots(trains, full_ah)),
      range(tau_range(trains, kSourceApart * full_ah)),
      largest_a(largest_current_a(trains)) {}

double CircuitTask::allowed_v(const CircuitSystem& system,
                              const CircuitParameters& parameters) const {
  double ohm = 0.0;
  for (std::size_t branch = 0; branch <= system.branches(); ++branch)
    ohm += mean_ohm(system, parameters, branch);
  return std::max(kFollowedShare * ohm * largest_a, kFollowed_v);
}

std::vector<CircuitCandidate> circuit_candidates(const CircuitTask& task) {
  std::array<std::future<Trial>, CircuitSystem::kMostBranches> running;
  for (std::size_t i = 0; i < running.size(); ++i)
    running[i] = std::async(std::launch::async, trial, std::cref(task), i + 1);
  std::vector<Trial> trials;
  trials.reserve(running.size());
  for (auto& one : running) trials.push_back(one.get());
  const double lag_1 = common_lag(trials);
  std::erase_if(trials, [](const Trial& one) { return !one.sound; });
  std::ranges::sort(trials, {}, [&](const Trial& one) {
    return std::pair(!one.candidate.found, criterion(one, lag_1));
  });
  std::vector<CircuitCandidate> best;
  best.reserve(trials.size());
  for (Trial& one : trials) best.push_back(std::move(one.candidate));
  return best;
}

double usable_lag(double lag_1) noexcept {
  return std::clamp(lag_1, 0.0, kMostLag);
}

std::vector<double> voltages_of(const std::vector<CircuitSystem::Residual>& residuals) {
  std::vector<double> values;
  values.reserve(residuals.size());
  for (const auto& residual : residuals) values.push_back(residual.voltage_v);
  return values;
}

}  // namespace sagbench::analysis
