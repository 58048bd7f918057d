#include "analysis/compressed_cost.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {
namespace {

// Of a cost beyond doubles: a step there is turned down. A failure would be written to standard
// error instead.
constexpr double kNever = 1e200;

/// The lower triangle L of N = L L'. A parameter that no reading tells of gets a little of its own,
/// which moves nothing: the gradient is not touched.
Eigen::MatrixXd triangle_of(const Eigen::MatrixXd& normal) {
  constexpr double kRidge = 1e-14;
  Eigen::VectorXd scale = normal.diagonal().cwiseSqrt();
  const double largest = scale.maxCoeff();
  for (double& entry : scale)
    if (!(entry > kRidge * largest)) entry = kRidge * largest + kRidge;
  const Eigen::VectorXd inverse = scale.cwiseInverse();
  Eigen::MatrixXd scaled = inverse.asDiagonal() *
                           Eigen::MatrixXd(normal.selfadjointView<Eigen::Lower>()) *
                           inverse.asDiagonal();
  scaled.diagonal().array() += kRidge;
  for (double ridge = kRidge; ridge < 1.0; ridge *= 100.0) {
    const Eigen::LLT<Eigen::MatrixXd> factors(scaled);
    if (factors.info() == Eigen::Success)
      return scale.asDiagonal() * factors.matrixL().toDenseMatrix();
    scaled.diagonal().array() += ridge;
  }
  return scale.asDiagonal();
}

}  // namespace

CompressedCost::CompressedCost(const CircuitSystem& system, double huber_v)
    : system_(system), huber_v_(huber_v) {
  const auto parameters = static_cast<int>(system.parameters());
  mutable_parameter_block_sizes()->push_back(parameters);
  set_num_residuals(parameters + 1);
}

bool CompressedCost::Evaluate(double const* const* parameters, double* residuals,
                              double** jacobians) const {
  const auto size = static_cast<Eigen::Index>(system_.parameters());
  Eigen::Map<Eigen::VectorXd> out(residuals, size + 1);
  out.setZero();
  if (jacobians == nullptr || jacobians[0] == nullptr) {
    const double cost = system_.cost(parameters[0], huber_v_);
    out[size] = std::sqrt(2.0 * (cost < kNever ? cost : kNever));
    return true;
  }
  const CircuitSystem::Sums sums = system_.sums(parameters[0], huber_v_);
  const Eigen::MatrixXd triangle = triangle_of(sums.normal);
  out.head(size) = triangle.triangularView<Eigen::Lower>().solve(sums.gradient);
  out[size] = std::sqrt(std::max(0.0, 2.0 * sums.cost - out.head(size).squaredNorm()));
  using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  Eigen::Map<Rows> jacobian(jacobians[0], size + 1, size);
  jacobian.topRows(size) = triangle.transpose();
  jacobian.row(size).setZero();
  return true;
}

}  // namespace sagbench::analysis
