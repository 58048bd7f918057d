#pragma once
// What a reader must know beside the figures.

#include <string>
#include <vector>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// One sentence each; `figures` as computed so far from this recording. Any recording is accepted.
std::vector<std::string> cautions(const Recording& recording, const Figures& figures);

}  // namespace sagbench::analysis
