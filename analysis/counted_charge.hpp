#pragma once
// What counting leaves in doubt.

#include <cstddef>

#include "analysis/charge_integral.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// What flowed from the last full charge (or `from_s`, if that is later) up to samples[at].
/// Nothing counts while no current is asked for.
Flow counted_flow(const Recording& recording, std::size_t at, double from_s);

/// Standard uncertainty, Ah, of the charge counted from `from_s` to samples[at]: gain and offset of
/// the current, and gaps.
double counted_u_ah(const Recording& recording, double from_s, std::size_t at);

}  // namespace sagbench::analysis
