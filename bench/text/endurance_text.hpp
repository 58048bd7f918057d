#pragma once
// An operation's endurance as lines for a terminal.

#include <span>
#include <string>

#include "analysis/endurance.hpp"
#include "analysis/pack_choice.hpp"

namespace sagbench::bench {

/// `packs`: those of the archive, this run's among them.
std::string endurance_text(const analysis::Endurance& endurance,
                           const analysis::Operation& operation,
                           std::span<const analysis::PackAnswer> packs);

}  // namespace sagbench::bench
