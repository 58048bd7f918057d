#include "analysis/circuit_descent.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

namespace sagbench::analysis {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// What each parameter is measured in, so that all curvatures are 1. One that no reading tells of
/// gets a little curvature of its own, which moves nothing: its gradient is none.
VectorXd scale_of(const MatrixXd& normal) {
  constexpr double kLeast = 1e-14;
  const VectorXd scale = normal.diagonal().cwiseSqrt();
  return scale.cwiseMax(kLeast * scale.maxCoeff() + kLeast);
}

/// Those that the gradient pushes against their bounds.
std::vector<bool> held_by(const VectorXd& gradient, const VectorXd& at,
                          const ParameterBounds& bounds) {
  std::vector<bool> held;
  for (Index i = 0; i < at.size(); ++i)
    held.push_back((at[i] <= bounds.low[i] && gradient[i] > 0.0) ||
                   (at[i] >= bounds.high[i] && gradient[i] < 0.0));
  return held;
}

std::vector<Index> others_than(const std::vector<bool>& held) {
  std::vector<Index> open;
  for (std::size_t i = 0; i < held.size(); ++i)
    if (!held[i]) open.push_back(static_cast<Index>(i));
  return open;
}

}  // namespace

VectorXd bounded_step(const CircuitSystem::Sums& sums, const VectorXd& at,
                      const ParameterBounds& bounds, double damping) {
  constexpr double kRidge = 1e-14;
  const VectorXd scale = scale_of(sums.normal);
  MatrixXd normal = sums.normal.selfadjointView<Eigen::Lower>();
  normal.diagonal() += (damping + kRidge) * scale.cwiseAbs2();
  const VectorXd inverse = scale.cwiseInverse();
  std::vector<bool> held = held_by(sums.gradient, at, bounds);
  VectorXd step = VectorXd::Zero(at.size());
  for (std::vector<Index> open = others_than(held); !open.empty(); open = others_than(held)) {
    const VectorXd unit = inverse(open);
    const VectorXd slope = unit.cwiseProduct((sums.gradient + normal * step)(open));
    const MatrixXd curvature = unit.asDiagonal() * normal(open, open) * unit.asDiagonal();
    const VectorXd found = -unit.cwiseProduct(curvature.ldlt().solve(slope));
    bool crossed = false;
    for (std::size_t k = 0; k < open.size(); ++k) {
      const Index i = open[k];
      const double to = at[i] + found[static_cast<Index>(k)];
      if (to >= bounds.low[i] && to <= bounds.high[i]) continue;
      step[i] = std::clamp(to, bounds.low[i], bounds.high[i]) - at[i];
      held[static_cast<std::size_t>(i)] = crossed = true;
    }
    if (crossed) continue;
    step(open) = found;
    break;
  }
  return step;
}

bool descend(const CircuitSystem& system, const ParameterBounds& bounds, double huber_v,
             CircuitParameters& parameters) {
  constexpr int kMostSteps = 40;
  constexpr double kEnough = 1e-10;  // of the cost, gained by a step
  constexpr double kExact_v = 1e-8;  // of a reading: nothing that is measured is nearer
  constexpr double kFirst = 1e-4, kLeast = 1e-12, kMost = 1e8, kFactor = 10.0;  // damping
  VectorXd at =
      Eigen::Map<const VectorXd>(parameters.data(), static_cast<Index>(parameters.size()));
  at = at.cwiseMax(bounds.low).cwiseMin(bounds.high);
  CircuitSystem::Sums here = system.sums(at.data(), huber_v);
  if (!std::isfinite(here.cost)) return false;
  const double exact = kExact_v * kExact_v * static_cast<double>(system.readings()) / 2.0;
  double damping = kFirst;
  bool ended = false;
  for (int step = 0; step < kMostSteps && !ended; ++step) {
    // Most steps are taken, so what the next one needs is computed with the cost.
    const VectorXd next = at + bounded_step(here, at, bounds, damping);
    CircuitSystem::Sums there = system.sums(next.data(), huber_v);
    if (!(there.cost < here.cost)) {
      damping *= kFactor;
      ended = damping >= kMost;
      continue;
    }
    ended = here.cost - there.cost <= kEnough * here.cost || there.cost <= exact;
    at = next;
    here = std::move(there);
    damping = std::max(damping / kFactor, kLeast);
  }
  std::ranges::copy(at, parameters.begin());
  return ended;
}

}  // namespace sagbench::analysis
