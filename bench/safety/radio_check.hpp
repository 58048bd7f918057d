#pragma once
// A plan's radios against the pack that is at hand, before anything is energised.

#include <string>
#include <vector>

#include "bench/files/plan_file.hpp"

namespace sagbench::bench {

/// Throws InputError naming step and key: a radio that the pack, at rest at `rested_v`, could not
/// switch on (supply_min_V at or above it), or that would refuse it (supply_max_V below it).
void check_radios(const Plan& plan, double rested_v);

/// One sentence for each transmit step whose regulated radio would draw more than `allowed_a` from
/// a low supply, though its nominal peak is allowed: there the current is held at `allowed_a`.
std::vector<std::string> capped_radios(const Plan& plan, double allowed_a);

}  // namespace sagbench::bench
