#pragma once
// The way down from one start of a nonlinear fit.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "analysis/fit_residuals.hpp"

namespace sagbench::analysis {

struct Descent {
  std::vector<double> parameters;
  double squares = 0.0;           // what is to be least, there
  std::string why_not_a_minimum;  // empty: it is one
};

/// Levenberg-Marquardt, then Gauss-Newton until rounding stops it. Not a minimum where the start
/// cannot be evaluated (squares are infinite then), a parameter is not determined, or the step
/// still open is too long (see fit_nonlinear).
Descent descend(const FitResiduals& residuals, const std::vector<double>& start);

/// The parameters that stand at no bound that they would pass if they could: a step of theirs is
/// free. `downhill` is minus half the gradient of the squares.
std::vector<Eigen::Index> free_parameters(const FitResiduals& residuals,
                                          const std::vector<double>& at,
                                          const Eigen::VectorXd& downhill);

}  // namespace sagbench::analysis
