#pragma once
// A least-squares problem of very many readings and few parameters, as Ceres takes it.

#include <ceres/cost_function.h>

#include "analysis/circuit_system.hpp"

namespace sagbench::analysis {

/// One residual a parameter and one more. They have the true problem's cost, gradient and
/// Gauss-Newton matrix, which is all that a trust-region step is made of: with the normal matrix
/// N = L L' the derivative is L', the residuals are L^-1 gradient, and the last one holds what of
/// the cost is left. `system` outlives it.
class CompressedCost : public ceres::CostFunction {
 public:
  CompressedCost(const CircuitSystem& system, double huber_v);
  bool Evaluate(double const* const* parameters, double* residuals,
                double** jacobians) const override;

 private:
  const CircuitSystem& system_;
  double huber_v_;
};

}  // namespace sagbench::analysis
