#pragma once
// JSON for people to read and change.

#include <nlohmann/json.hpp>
#include <string>

namespace sagbench::bench {

/// Keys in their order; a list of plain values on one line, all else a line each. Ends with a
/// newline.
std::string pretty_json(const nlohmann::ordered_json& value);

}  // namespace sagbench::bench
