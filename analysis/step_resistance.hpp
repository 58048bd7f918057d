#pragma once
// Resistance by the step method: how far the voltage falls in a given time after a current comes
// on.

#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/resistances.hpp"

namespace sagbench::analysis {

/// One entry a current that came on after a rest (see held_currents). The voltage before is the
/// last reading of the rest; what the pack was still recovering by is in doubt. A time between two
/// readings is interpolated; where they are further apart than half of it, or it lies before the
/// first reading, the next reading stands for it with its own age, unless that is later than the
/// next time asked; a current that stood for 1 % less than a time counts as having stood for it.
/// Missing when no current came on after a rest, with a why beside each time that a step does not
/// show. Precondition: the recording has no defect.
Finding<std::vector<StepResistance>> step_resistances(const Recording& recording,
                                                      const ChargeState& charge);

/// Of the peaks of each state of charge (of all steps in data of another logger), time by time;
/// nothing where there is but one.
std::vector<StepRepeatability> step_repeatability(const std::vector<StepResistance>& steps);

}  // namespace sagbench::analysis
