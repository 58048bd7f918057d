#pragma once
// What an operator must know before handling the pack. Common practice, no source, where no
// standard is named.

#include <string>
#include <vector>

#include "analysis/pack.hpp"

namespace sagbench::reports {

/// The usual cautions for packs of this chemistry, most pressing first.
std::vector<std::string> safety_cautions(const analysis::Pack& pack);

}  // namespace sagbench::reports
