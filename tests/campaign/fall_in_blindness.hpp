#pragma once
// How far a cell may fall under its floor although nothing is wrong with the program.

#include <vector>

#include "fault.hpp"
#include "scene.hpp"

namespace sagbench::campaign {

/// A cell is read again at the latest when its last reading is as old as the slow watch time allows
/// (10 s), and the pack then is off within the watch time's grace. So a cell may stand just above
/// its end-of-discharge voltage at one reading and fall until the next: this is how far under the
/// floor the weakest cell of this scene comes in that time at the pack's steady discharge current
/// and at the highest peak the plan asks for, whichever is more, plus the meter's error. In volts,
/// 0 or more.
double fall_in_blindness_v(const Scene& scene, const std::vector<Fault>& faults);

}  // namespace sagbench::campaign
