#pragma once
// What a least-squares fit found, and what is in doubt about it.

#include <Eigen/Core>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace sagbench::analysis {

struct FittedParameter {
  double value = 0.0;
  /// Standard error; absent where the parameter stands at a bound, which hides it.
  std::optional<double> standard_error;
};

struct Fit {
  std::vector<FittedParameter> parameters;
  /// Correlation coefficients of the parameters' errors: 1 on the diagonal, 0 in the rows and
  /// columns of parameters that stand at a bound.
  Eigen::MatrixXd correlation;
  /// Standard deviation of an observation about the fit, in the observation's unit; where standard
  /// deviations of the observations were given, a multiple of them.
  double residual_sd = 0.0;
  std::size_t degrees_of_freedom = 0;
  std::vector<double> residuals;  // observed - fitted, in the observation's unit

  double value(std::size_t parameter) const { return parameters.at(parameter).value; }

  /// Standard uncertainty of a quantity that changes by sensitivities[i] for one unit of parameter
  /// i, correlations included (JCGM 100:2008, 5.2.2). Parameters at a bound add nothing.
  /// Precondition: one sensitivity a parameter.
  double doubt_of(std::span<const double> sensitivities) const;
};

}  // namespace sagbench::analysis
