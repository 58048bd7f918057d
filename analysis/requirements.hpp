#pragma once
// What a radio asks of a pack, each judged by what was measured.

#include <vector>

#include "analysis/judgement.hpp"
#include "analysis/rating_ground.hpp"

namespace sagbench::analysis {

/// In the order in which equally bad ones are told: what pack and fuse allow, the time on the air,
/// the supply under peaks down to kLastUsefulCharge, the full pack's voltage, peaks let go early.
std::vector<Judgement> requirements(const RatingGround& ground);

}  // namespace sagbench::analysis
