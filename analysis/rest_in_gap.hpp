#pragma once
// What the rest in a gap gave a discharge that went on after it.

#include "analysis/discharge.hpp"

namespace sagbench::analysis {

/// At most so many seconds of its current did the discharge last longer because the pack rested in
/// `gap`, one of its own. A rest raises the voltage. Once it is down again where it was before the
/// gap, what is left of the rise is no more than the fall that it delayed, and it only fades; at
/// the end it counts by how much steeper the voltage falls there. A discharge that ended before may
/// owe the rest all that flowed since. Never more than that (our own bound, no source).
double given_by_rest_s(const Discharge& discharge, const Gap& gap);

}  // namespace sagbench::analysis
