#pragma once
// What would move a radio's supply margin over its guard band, or into it.

#include <string>
#include <vector>

#include "analysis/rating_ground.hpp"

namespace sagbench::analysis {

/// Phrases, computed from the margin, its uncertainty and the resistances at which it stands: how
/// many volts are lacking or to spare, and the cable, the radio's limit and its peaks that come to
/// as much, each alone. Where pack, fuse, load or the tests themselves end first, that is said of
/// the peaks. Precondition: a margin.
std::vector<std::string> margin_changes(const RatingGround& ground);

/// What a test lacks so that there is a margin to judge by. Precondition: it is not deep enough, or
/// there is no margin.
std::vector<std::string> missing_tests(const RatingGround& ground);

}  // namespace sagbench::analysis
