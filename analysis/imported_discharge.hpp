#pragma once
// The discharge inside data that another logger took: no setpoints, charges and rests before and
// after.

#include "analysis/discharge.hpp"

namespace sagbench::analysis {

/// The first discharge of an imported step that reaches the pack's end-of-discharge voltage. It
/// begins where the current exceeds 1 % of It, or a tenth of the largest current where that is less
/// (a logger's offset at rest must not count: 9 mA have been seen on a 17 Ah battery), on the
/// switch-on edge as recorded: half of the interval before that sample counts, and all of it is in
/// doubt. Rests and short charge pulses belong to it; a charge of more than 1 % of the rated
/// capacity ends it. Data that begin within the discharge count from their first sample. Missing,
/// with the lowest voltage and the charge removed, when none gets there.
/// Precondition: the recording has no defect.
Finding<Discharge> imported_discharge(const Recording& recording, int step);

}  // namespace sagbench::analysis
