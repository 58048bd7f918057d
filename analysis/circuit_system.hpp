#pragma once
// How far a circuit whose values change with charge is from a record, and which way to better it.

#include <Eigen/Dense>
#include <cstddef>
#include <vector>

#include "analysis/circuit_record.hpp"

namespace sagbench::analysis {

/// Voltage = source(q) - R0(q) i - sum of Rk(q) xk, with xk the current as a branch of time
/// constant tau_k sees it: xk' = (i - xk) / tau_k. Source and resistances are straight lines in the
/// charge q between their knots. The parameters stand in one vector: the source's values in V,
/// those of R0, of R1 and so on in ohm, then ln(tau_k / 1 s).
class CircuitSystem {
 public:
  static constexpr std::size_t kMostBranches = 3;

  enum class Readings { all, few };

  /// 1 to kMostBranches; `record` outlives it. Where few of the readings count, the current between
  /// them does in any case.
  CircuitSystem(const CircuitRecord& record, std::size_t branches, Readings count = Readings::all)
      : record_(record), branches_(branches), few_(count == Readings::few) {}

  std::size_t parameters() const noexcept;
  std::size_t branches() const noexcept { return branches_; }
  /// How many count.
  std::size_t readings() const noexcept { return few_ ? record_.few() : record_.rows().size(); }
  const ChargeKnots& source() const noexcept { return record_.source(); }
  const ChargeKnots& resistance() const noexcept { return record_.resistance(); }
  /// Index of R0's first value (branch 0) or of a branch's (from 1 up).
  std::size_t first_ohm(std::size_t branch) const noexcept;
  std::size_t log_tau(std::size_t branch) const noexcept;

  /// Sums over the readings, with w = 1 up to `huber_v` and huber_v / |r| beyond (P. J. Huber,
  /// Annals of Mathematical Statistics 35 (1964) 73): r is the circuit's voltage minus the measured
  /// one, J its derivative by the parameters.
  struct Sums {
    double cost = 0.0;         // half the sum of r^2, beyond huber_v of 2 huber_v |r| - huber_v^2
    double squares = 0.0;      // sum of w r^2
    Eigen::VectorXd gradient;  // sum of w J r
    Eigen::MatrixXd normal;    // sum of w J J'
  };
  Sums sums(const double* parameters, double huber_v) const;
  /// Variance of the gradient per variance of r, where r is correlated by lag_1^n with the n-th
  /// reading before it in the same train: sum over i and k of w J_i w J_k' lag_1^|i - k|. 0 <=
  /// lag_1 < 1.
  Eigen::MatrixXd gradient_variance(const double* parameters, double huber_v, double lag_1) const;
  /// Of each reading that counts, in order.
  struct Residual {
    double voltage_v;  // r
    bool soon;         // within kSoon_s of an edge of current
  };
  std::vector<Residual> residuals(const double* parameters) const;

 private:
  friend class CircuitWalk;

  const CircuitRecord& record_;
  std::size_t branches_;
  bool few_;
};

}  // namespace sagbench::analysis
