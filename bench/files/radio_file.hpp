#pragma once
// radio.json and operation.json: what the load imitates, and how the owner means to operate.

#include <nlohmann/json.hpp>
#include <string>

#include "analysis/operation.hpp"

namespace sagbench::bench {

/// Throw InputError naming `origin`.
analysis::Radio radio_from_json(const nlohmann::json& json, const std::string& origin);
/// `folder` is where a relative "radio" path starts; a "radio" given as an object is read in place.
analysis::Operation operation_from_json(const nlohmann::json& json, const std::string& origin,
                                        const std::string& folder);

/// A radio by reference: a path (relative to `folder`) becomes the object in that file; an object
/// stays. `origin` and `key` are for messages.
nlohmann::json embedded_radio(const nlohmann::json& reference, const std::string& folder,
                              const std::string& origin, const std::string& key);

/// The modes a file may name, in the order of analysis::Mode.
const std::vector<std::string_view>& mode_words();

}  // namespace sagbench::bench
