#pragma once
// The way down to the best parameters of a circuit, where some end at what is allowed.

#include <Eigen/Dense>

#include "analysis/circuit_solution.hpp"
#include "analysis/circuit_system.hpp"

namespace sagbench::analysis {

/// Of each parameter.
struct ParameterBounds {
  Eigen::VectorXd low, high;
};

/// The step to the minimum, within the bounds, of the parabola that the sums make of the cost, each
/// curvature larger by `damping` (D. W. Marquardt, J. SIAM 11 (1963) 431). A parameter that the
/// minimum would have beyond a bound is held there and the others step on (active set: J. Nocedal,
/// S. J. Wright, Numerical Optimization, 2nd ed., chapter 16). Precondition: `at` is within them.
Eigen::VectorXd bounded_step(const CircuitSystem::Sums& sums, const Eigen::VectorXd& at,
                             const ParameterBounds& bounds, double damping);

/// Betters the parameters until nothing is gained. They are brought within the bounds first; left
/// as they are where the cost is no number. False where there was still something to be gained
/// after the most steps that are made, as where the record does not tell them.
bool descend(const CircuitSystem& system, const ParameterBounds& bounds, double huber_v,
             CircuitParameters& parameters);

}  // namespace sagbench::analysis
