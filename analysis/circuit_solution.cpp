#include "analysis/circuit_solution.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/circuit_descent.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kApart = 2.0;  // closer time constants are one
constexpr double kAway = 1.01;  // from the ends of their range

bool inside_and_apart(const CircuitSystem& system, const TauRange& range,
                      const CircuitParameters& parameters) {
  for (std::size_t k = 1; k <= system.branches(); ++k) {
    const double tau_s = std::exp(parameters[system.log_tau(k)]);
    if (tau_s < kAway * range.shortest_s || tau_s * kAway > range.longest_s) return false;
    for (std::size_t other = 1; other < k; ++other)
      if (std::abs(parameters[system.log_tau(k)] - parameters[system.log_tau(other)]) <
          std::log(kApart))
        return false;
  }
  return true;
}

}  // namespace

CircuitParameters start_from(const CircuitSystem& system, std::span<const double> taus_s) {
  constexpr double kLeast_ohm = 1e-6;  // at none at all, its time constant would have no meaning
  constexpr double kRidge = 1e-12;
  CircuitParameters parameters(system.parameters(), 0.0);
  for (std::size_t k = 1; k <= taus_s.size(); ++k)
    parameters[system.log_tau(k)] = std::log(taus_s[k - 1]);
  const auto sums = system.sums(parameters.data(), std::numeric_limits<double>::infinity());
  const auto linear = static_cast<Eigen::Index>(system.log_tau(1));
  Eigen::MatrixXd normal = sums.normal.topLeftCorner(linear, linear);
  normal.diagonal().array() += kRidge * normal.diagonal().maxCoeff();
  const Eigen::VectorXd found =
      normal.selfadjointView<Eigen::Lower>().ldlt().solve(-sums.gradient.head(linear));
  std::copy(found.begin(), found.end(), parameters.begin());
  for (std::size_t i = system.first_ohm(0); i < system.log_tau(1); ++i)
    parameters[i] = std::max(parameters[i], kLeast_ohm);
  return parameters;
}

bool improve(const CircuitSystem& system, const TauRange& range, double huber_v,
             CircuitParameters& parameters) {
  constexpr double kMost = std::numeric_limits<double>::max();
  const auto size = static_cast<Eigen::Index>(system.parameters());
  const auto first_ohm = static_cast<Eigen::Index>(system.first_ohm(0));
  const auto first_tau = static_cast<Eigen::Index>(system.log_tau(1));
  ParameterBounds bounds{Eigen::VectorXd::Constant(size, -kMost),
                         Eigen::VectorXd::Constant(size, kMost)};
  bounds.low.segment(first_ohm, first_tau - first_ohm).setZero();
  bounds.low.tail(size - first_tau).setConstant(std::log(range.shortest_s));
  bounds.high.tail(size - first_tau).setConstant(std::log(range.longest_s));
  return descend(system, bounds, huber_v, parameters);
}

double mean_ohm(const CircuitSystem& system, const CircuitParameters& parameters,
                std::size_t branch) {
  const auto values = Eigen::Map<const Eigen::VectorXd>(
                          parameters.data(), static_cast<Eigen::Index>(parameters.size()))
                          .segment(static_cast<Eigen::Index>(system.first_ohm(branch)),
                                   static_cast<Eigen::Index>(system.resistance().size()));
  return values.mean();
}

bool is_sound(const CircuitSystem& system, const TauRange& range,
              const CircuitParameters& parameters) {
  if (!std::ranges::all_of(parameters, [](double value) { return std::isfinite(value); }) ||
      !inside_and_apart(system, range, parameters))
    return false;
  for (std::size_t branch = 0; branch <= system.branches(); ++branch)
    if (!(mean_ohm(system, parameters, branch) > 0.0)) return false;
  return true;
}

}  // namespace sagbench::analysis
