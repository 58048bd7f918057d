#include "drivers/json_text.hpp"

#include <nlohmann/json.hpp>
#include <set>
#include <vector>

namespace sagbench::drivers {

using nlohmann::json;

json parse_json_text(const std::string& text, std::string& twin) {
  std::vector<std::set<std::string>> open_objects;
  return json::parse(text, [&](int, json::parse_event_t event, json& parsed) {
    if (event == json::parse_event_t::object_start) open_objects.emplace_back();
    if (event == json::parse_event_t::object_end) open_objects.pop_back();
    if (event == json::parse_event_t::key &&
        !open_objects.back().insert(parsed.get<std::string>()).second)
      twin = parsed.get<std::string>();
    return true;
  });
}

}  // namespace sagbench::drivers
