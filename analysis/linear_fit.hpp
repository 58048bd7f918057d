#pragma once
// Linear least squares: several parameters, each with a column of its own. For a straight line
// through points that come one after the other, StraightLine is cheaper.

#include <span>

#include "analysis/finding.hpp"
#include "analysis/fit.hpp"

namespace sagbench::analysis {

struct LinearFit : Fit {
  /// Share of the observations' squares that the fit explains: about their mean where one column is
  /// constant, else about zero. Missing where there is nothing to explain.
  Finding<double> r_squared;
};

/// The parameters that make up `observed` from the columns of `columns` with the least squares, all
/// observations alike. Missing, with the reason, where there are not more observations than
/// parameters, where a number is not finite, or where a column follows from the others.
/// Precondition: one row an observation.
Finding<LinearFit> fit_linear(const Eigen::MatrixXd& columns, std::span<const double> observed);

/// The same for y = b0 + b1 x + ... + bn x^n; n = `degree` from 0. Powers are taken about zero, as
/// the coefficients are; what that costs is digits: about seven are left of a tenth degree over
/// x = -9 ... -3. Precondition: as many x as y.
Finding<LinearFit> fit_polynomial(std::span<const double> x, std::span<const double> y, int degree);

}  // namespace sagbench::analysis
