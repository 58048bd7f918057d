#pragma once
// The parameters of a circuit that come nearest to a record.

#include <span>
#include <vector>

#include "analysis/circuit_system.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {

/// In the order of CircuitSystem.
using CircuitParameters = std::vector<double>;

/// All but the time constants by linear least squares for the ones given, no resistance below
/// 1 micro-ohm. `taus_s`: as many as the system has branches.
CircuitParameters start_from(const CircuitSystem& system, std::span<const double> taus_s);

/// To the least cost from there (see circuit_descent.hpp): no negative
/// resistance, time constants within `range`. False where it was not found, as by descend(). For
/// `huber_v` see CircuitSystem::sums().
bool improve(const CircuitSystem& system, const TauRange& range, double huber_v,
             CircuitParameters& parameters);

/// Numbers; each branch with a resistance; time constants inside their range and not two the same.
bool is_sound(const CircuitSystem& system, const TauRange& range,
              const CircuitParameters& parameters);

/// Mean over the knots, ohm; branch 0 is R0.
double mean_ohm(const CircuitSystem& system, const CircuitParameters& parameters,
                std::size_t branch);

}  // namespace sagbench::analysis
