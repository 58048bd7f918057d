#pragma once
// JSON as people write it.

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace sagbench::drivers {

/// The document in `text`. Of two equal keys of an object the parser silently keeps the last; a
/// user who wrote both should hear of it: `twin` becomes such a key, and stays as it is where there
/// is none. Throws what nlohmann::json::parse() throws.
nlohmann::json parse_json_text(const std::string& text, std::string& twin);

}  // namespace sagbench::drivers
