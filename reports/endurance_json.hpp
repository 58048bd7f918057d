#pragma once
// An operation's endurance as JSON, by the keys the design fixes and those beside them. A figure
// that could not be had is null, with "<key>_why" beside it.

#include <span>
#include <string>

#include "analysis/endurance.hpp"
#include "analysis/pack_choice.hpp"

namespace sagbench::reports {

/// Pretty-printed document with a newline at its end. `packs`: those of the archive, this run's
/// among them.
std::string endurance_json(const analysis::Endurance& endurance, const std::string& run_id,
                           const analysis::Operation& operation,
                           std::span<const analysis::PackAnswer> packs);

}  // namespace sagbench::reports
