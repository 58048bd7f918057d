#include "analysis/correlated_sum.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {

double correlated_sum(const Eigen::VectorXd& contributions, const Eigen::MatrixXd& correlation) {
  return std::sqrt(std::max(0.0, contributions.dot(correlation * contributions)));
}

}  // namespace sagbench::analysis
