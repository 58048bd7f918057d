#pragma once
// Resistance of each tapped cell.

#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/resistances.hpp"

namespace sagbench::analysis {

/// By the step method, about 10 s after the edge: of each held current the taps' last reading
/// before it and the one nearest to that age, at least 1 s after the edge. The pulses of the state
/// of charge nearest to half, of at least 0.4 times the largest current among them, are averaged;
/// how they scatter is in doubt beside the instruments. Missing without taps, or where none was
/// read both within 10 s before a step and under it. Precondition: the recording has no defect.
Finding<std::vector<CellResistance>> cell_resistances(const Recording& recording,
                                                      const ChargeState& charge);

}  // namespace sagbench::analysis
