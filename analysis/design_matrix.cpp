#include "analysis/design_matrix.hpp"

#include <utility>

namespace sagbench::analysis {
namespace {

Eigen::VectorXd lengths_of(const Eigen::MatrixXd& columns) {
  Eigen::VectorXd lengths = columns.colwise().stableNorm();
  for (double& length : lengths)
    if (!(length > 0.0)) length = 1.0;
  return lengths;
}

Eigen::MatrixXd scaled(Eigen::MatrixXd columns, const Eigen::VectorXd& lengths) {
  columns.array().rowwise() /= lengths.transpose().array();
  return columns;
}

}  // namespace

DesignMatrix::DesignMatrix(Eigen::MatrixXd columns, double column_error)
    : lengths_(lengths_of(columns)), qr_(scaled(std::move(columns), lengths_)) {
  qr_.setThreshold(column_error);
  if (dependent()) return;
  const Eigen::Index size = qr_.cols();
  const Eigen::MatrixXd inverse =
      qr_.colsPermutation() *
      qr_.matrixR().topRows(size).template triangularView<Eigen::Upper>().solve(
          Eigen::MatrixXd::Identity(size, size));
  const Eigen::VectorXd scaled_spread = inverse.rowwise().norm();
  spread_ = scaled_spread.cwiseQuotient(lengths_);
  const Eigen::MatrixXd directions = scaled_spread.cwiseInverse().asDiagonal() * inverse;
  correlation_ = directions * directions.transpose();
  correlation_.diagonal().setOnes();
}

std::optional<Eigen::Index> DesignMatrix::dependent() const {
  const Eigen::Index rank = qr_.rank();
  if (rank == qr_.cols()) return std::nullopt;
  return qr_.colsPermutation().indices()[rank];
}

Eigen::VectorXd DesignMatrix::solve(const Eigen::VectorXd& right) const {
  return qr_.solve(right).cwiseQuotient(lengths_);
}

double DesignMatrix::reach(const Eigen::VectorXd& right) const {
  Eigen::VectorXd turned = right;
  turned.applyOnTheLeft(qr_.householderQ().setLength(qr_.nonzeroPivots()).adjoint());
  return turned.head(qr_.cols()).stableNorm();
}

}  // namespace sagbench::analysis
