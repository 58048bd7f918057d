#pragma once
// What is in doubt about the parameters of a fitted circuit.

#include <Eigen/Dense>

#include "analysis/circuit_solution.hpp"

namespace sagbench::analysis {

struct CircuitDoubt {
  Eigen::VectorXd standard_error;  // 0 for a resistance that is held at none
  Eigen::MatrixXd correlation;     // likewise
};

/// N^-1 G N^-1 times the residual variance, N being the normal matrix and G the variance of the
/// gradient for residuals that follow each other as a first-order process of autocorrelation
/// `lag_1` (0 to below 1). What a wrong model leaves is such a process rather than noise. Source:
/// the covariance of least squares under correlated errors, e.g. W. H. Greene, Econometric
/// Analysis, "generalized regression model" (from memory).
CircuitDoubt circuit_doubt(const CircuitSystem& system, const CircuitParameters& parameters,
                           double huber_v, double lag_1);

}  // namespace sagbench::analysis
