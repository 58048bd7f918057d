#pragma once
// Which state of charge the run's equivalent circuit is taken from.

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// A circuit is fitted train by train, since resistances change with charge; that of the train
/// nearest to half charge that has one. Missing with the reason of the nearest train when none has.
Finding<Circuit> circuit_near_half_charge(const Recording& recording, const ChargeState& charge);

}  // namespace sagbench::analysis
