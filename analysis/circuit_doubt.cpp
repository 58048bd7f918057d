#include "analysis/circuit_doubt.hpp"

#include <vector>

namespace sagbench::analysis {
namespace {

/// What the record tells of, and what is not held at its bound.
std::vector<Eigen::Index> free_of(const CircuitSystem& system, const Eigen::MatrixXd& normal,
                                  const CircuitParameters& parameters) {
  std::vector<Eigen::Index> free;
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    const bool ohm = i >= system.first_ohm(0) && i < system.log_tau(1);
    const auto index = static_cast<Eigen::Index>(i);
    if (normal(index, index) > 0.0 && (!ohm || parameters[i] > 0.0)) free.push_back(index);
  }
  return free;
}

}  // namespace

CircuitDoubt circuit_doubt(const CircuitSystem& system, const CircuitParameters& parameters,
                           double huber_v, double lag_1) {
  const auto sums = system.sums(parameters.data(), huber_v);
  const auto gradient = system.gradient_variance(parameters.data(), huber_v, lag_1);
  const auto free = free_of(system, sums.normal, parameters);
  const Eigen::MatrixXd normal = sums.normal(free, free);
  // To diagonals of one: volts, ohms and logarithms of seconds are of very different size.
  const auto scale = normal.diagonal().cwiseSqrt().cwiseInverse().asDiagonal();
  const Eigen::LDLT<Eigen::MatrixXd> factors(Eigen::MatrixXd(scale * normal * scale));
  const Eigen::MatrixXd inner = scale * Eigen::MatrixXd(gradient(free, free)) * scale;
  const Eigen::MatrixXd half = factors.solve(inner);
  const auto freedom = static_cast<double>(system.readings()) - static_cast<double>(free.size());
  const Eigen::MatrixXd covariance =
      sums.squares / freedom * (scale * factors.solve(half.transpose()) * scale);

  const auto size = static_cast<Eigen::Index>(parameters.size());
  CircuitDoubt doubt{Eigen::VectorXd::Zero(size), Eigen::MatrixXd::Zero(size, size)};
  const Eigen::VectorXd errors = covariance.diagonal().cwiseMax(0.0).cwiseSqrt();
  const auto at = [&](Eigen::Index i) { return free[static_cast<std::size_t>(i)]; };
  for (Eigen::Index i = 0; i < errors.size(); ++i) {
    doubt.standard_error[at(i)] = errors[i];
    for (Eigen::Index k = 0; k < errors.size(); ++k)
      if (errors[i] > 0.0 && errors[k] > 0.0)
        doubt.correlation(at(i), at(k)) = covariance(i, k) / (errors[i] * errors[k]);
  }
  return doubt;
}

}  // namespace sagbench::analysis
