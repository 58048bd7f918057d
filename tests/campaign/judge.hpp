#pragma once
// What the world and the archive say of a trial, whatever the program thinks of itself.

#include "stage.hpp"
#include "trial.hpp"

namespace sagbench::campaign {

/// Appends to the report's failures and fills in its margins. The programs are gone, the archive is
/// theirs. Flow of current is the Witness's.
void judge(const Scene& scene, const std::vector<Fault>& faults, Stage& stage,
           const std::string& archive, Report& report);

}  // namespace sagbench::campaign
