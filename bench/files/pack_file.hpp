#pragma once
// pack.json: the pack under test.

#include <nlohmann/json.hpp>
#include <string>

#include "analysis/pack.hpp"

namespace sagbench::bench {

/// Validates against the chemistry: a limit looser than it allows is refused. Throws InputError
/// naming `origin`.
analysis::Pack pack_from_json(const nlohmann::json& json, const std::string& origin);

}  // namespace sagbench::bench
