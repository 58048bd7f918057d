#pragma once
// The law of propagation of uncertainty.

#include <Eigen/Core>

namespace sagbench::analysis {

/// Combined standard uncertainty of inputs whose contributions c_i u(x_i) carry their signs and
/// whose correlation coefficients are `correlation` (JCGM 100:2008, 5.2.2, equation 13 with 14).
/// Precondition: a square symmetric matrix of that many rows with no negative eigenvalue; what
/// rounding leaves below zero counts as zero.
double correlated_sum(const Eigen::VectorXd& contributions, const Eigen::MatrixXd& correlation);

}  // namespace sagbench::analysis
