#pragma once
// The matrix of a linear least-squares problem, taken apart once: rows are observations, columns
// what one unit of each parameter does to them.

#include <Eigen/Dense>
#include <optional>

namespace sagbench::analysis {

/// Householder QR with column pivoting of the columns scaled to length 1, so that neither the units
/// of the parameters nor a single large column cost digits (G. H. Golub, Numerische Mathematik 7
/// (1965) 206).
class DesignMatrix {
 public:
  /// `column_error` is how well the columns themselves are known, as a share of their lengths.
  /// Precondition: finite, at least as many rows as columns, at least one column.
  explicit DesignMatrix(Eigen::MatrixXd columns, double column_error = 1e-13);

  /// A column that is zero or that the others make up to within column_error: its parameter is not
  /// determined. Absent where every one is.
  std::optional<Eigen::Index> dependent() const;

  /// Parameters that come nearest to `right`. Precondition: nothing is dependent.
  Eigen::VectorXd solve(const Eigen::VectorXd& right) const;
  /// Length of the part of `right` that the columns can make.
  double reach(const Eigen::VectorXd& right) const;
  /// Standard errors of the parameters for a standard deviation of 1 of each observation.
  const Eigen::VectorXd& spread() const noexcept { return spread_; }
  const Eigen::MatrixXd& correlation() const noexcept { return correlation_; }

 private:
  Eigen::VectorXd lengths_;
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr_;
  Eigen::VectorXd spread_;
  Eigen::MatrixXd correlation_;
};

}  // namespace sagbench::analysis
