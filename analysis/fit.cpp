#include "analysis/fit.hpp"

#include "analysis/correlated_sum.hpp"

namespace sagbench::analysis {

double Fit::doubt_of(std::span<const double> sensitivities) const {
  Eigen::VectorXd contributions(static_cast<Eigen::Index>(sensitivities.size()));
  for (std::size_t i = 0; i < sensitivities.size(); ++i)
    contributions[static_cast<Eigen::Index>(i)] =
        sensitivities[i] * parameters.at(i).standard_error.value_or(0.0);
  return correlated_sum(contributions, correlation);
}

}  // namespace sagbench::analysis
