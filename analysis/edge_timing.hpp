#pragma once
// When the edges of an asked pattern were seen in samples.

#include <span>

#include "analysis/delivery.hpp"

namespace sagbench::analysis {

/// Of the edges within [from_s, to_s]; `range_a` is the whole range of the asked current.
EdgeTiming edge_timing(std::span<const AskedCurrent> asked, double from_s, double to_s,
                       double range_a, std::span<const Sample> samples);

}  // namespace sagbench::analysis
