#pragma once
// An equivalent circuit from the peaks: a series resistance and one or two RC branches.

#include <span>

#include "analysis/figures.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {

/// Residual r.m.s. up to which a circuit counts as following the peaks (our choice).
inline constexpr double kFollowedShare = 0.02;
inline constexpr double kFollowed_v = 0.003;

/// Least squares over all trains at once (variable projection: the time constants are searched, all
/// else is linear). Within one train the open-circuit voltage is a straight line in the charge
/// removed. Time constants lie between twice the age of the first reading after an edge and the
/// longest stretch of current or rest. A second branch is kept where it takes at least a fifth off
/// the residual. Missing when there are no trains, too few readings, or no circuit with positive
/// resistances follows them to within kFollowedShare of the largest sag or kFollowed_v, whichever
/// is larger.
Finding<Circuit> fit_circuit(std::span<const PulseTrain> trains);

}  // namespace sagbench::analysis
