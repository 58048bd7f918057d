#include "analysis/linear_fit.hpp"

#include <cmath>
#include <string>
#include <utility>

#include "analysis/design_matrix.hpp"
#include "analysis/observations.hpp"

namespace sagbench::analysis {
namespace {

bool has_constant(const Eigen::MatrixXd& columns) {
  for (const auto& column : columns.colwise())
    if (column[0] != 0.0 && (column.array() == column[0]).all()) return true;
  return false;
}

Finding<double> r_squared_of(const Eigen::VectorXd& observed, double squares, bool about_mean) {
  if ((observed.array() == observed[0]).all() && about_mean)
    return Finding<double>::missing("the observations do not vary");
  const double mean = about_mean ? observed.mean() : 0.0;
  const double total = (observed.array() - mean).matrix().squaredNorm();
  if (!(total > 0.0)) return Finding<double>::missing("all observations are zero");
  return 1.0 - squares / total;
}

}  // namespace

Finding<LinearFit> fit_linear(const Eigen::MatrixXd& columns, std::span<const double> observed) {
  using Missing = Finding<LinearFit>;
  const auto parameters = static_cast<std::size_t>(columns.cols());
  if (auto why = unfit(observed, parameters); !why.empty()) return Missing::missing(std::move(why));
  if (!columns.allFinite()) return Missing::missing("a column holds what is not a finite number");
  const DesignMatrix design(columns);
  if (const auto column = design.dependent())
    return Missing::missing(undetermined(static_cast<std::size_t>(*column)));

  const Eigen::VectorXd right = Eigen::Map<const Eigen::VectorXd>(observed.data(), columns.rows());
  const Eigen::VectorXd values = design.solve(right);
  const Eigen::VectorXd residuals = right - columns * values;
  LinearFit fit;
  fit.degrees_of_freedom = observed.size() - parameters;
  const double squares = residuals.squaredNorm();
  fit.residual_sd = std::sqrt(squares / static_cast<double>(fit.degrees_of_freedom));
  for (Eigen::Index i = 0; i < values.size(); ++i)
    fit.parameters.push_back({values[i], fit.residual_sd * design.spread()[i]});
  fit.correlation = design.correlation();
  fit.residuals.assign(residuals.begin(), residuals.end());
  fit.r_squared = r_squared_of(right, squares, has_constant(columns));
  if (!std::isfinite(squares) || !values.allFinite() || !design.spread().allFinite())
    return Missing::missing(kTooLarge);
  return fit;
}

Finding<LinearFit> fit_polynomial(std::span<const double> x, std::span<const double> y,
                                  int degree) {
  Eigen::MatrixXd powers(static_cast<Eigen::Index>(x.size()), degree + 1);
  for (std::size_t i = 0; i < x.size(); ++i)
    for (int power = 0; power <= degree; ++power)
      powers(static_cast<Eigen::Index>(i), power) = std::pow(x[i], power);
  return fit_linear(powers, y);
}

}  // namespace sagbench::analysis
