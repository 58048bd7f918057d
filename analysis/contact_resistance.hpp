#pragma once
// Leads and contacts between pack and load, from two voltmeters.

#include "analysis/resistances.hpp"

namespace sagbench::analysis {

/// Slope of the difference between the meter's and the load's voltage against the current; their
/// offsets are its intercept and no resistance. Over all readings taken half a second or more after
/// a change of current. In doubt: the slope's standard error, and the gains of both instruments,
/// since the voltage itself falls with the current. Missing without a meter, with fewer than ten
/// such readings, or where the current did not change. Precondition: the recording has no defect.
Finding<ContactResistance> contact_resistance(const Recording& recording);

}  // namespace sagbench::analysis
