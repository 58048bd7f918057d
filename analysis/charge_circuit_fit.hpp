#pragma once
// Fits the circuit over charge to a whole record.

#include <span>

#include "analysis/charge_circuit.hpp"
#include "analysis/finding.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {

/// Least squares over all readings at once by Ceres, with Huber's loss beyond what a reading may
/// be missed by: kFollowedShare of the largest sag, kFollowed_v at least, no negative resistance
/// and time constants within tau_range(). For the number of branches see circuit_candidates(), for
/// the standard errors circuit_doubt(). `full_ah` is the scale of charge. Missing, with why, where
/// the record has no edges of current or too few readings, or where no circuit follows the pulses.
Finding<ChargeCircuit> fit_charge_circuit(std::span<const PulseTrain> trains, double full_ah);

}  // namespace sagbench::analysis
