#include "bench/files/pretty_json.hpp"

#include <algorithm>

namespace sagbench::bench {
namespace {

using nlohmann::ordered_json;

bool is_plain_list(const ordered_json& value) {
  return value.is_array() &&
         std::ranges::none_of(value, [](const auto& part) { return part.is_structured(); });
}

std::string in_one_line(const ordered_json& list) {
  std::string text;
  for (const auto& part : list) text += (text.empty() ? "" : ", ") + part.dump();
  return "[" + text + "]";
}

std::string pretty(const ordered_json& value, std::size_t depth) {
  if (is_plain_list(value)) return in_one_line(value);
  if (!value.is_structured() || value.empty()) return value.dump();
  const std::string margin(2 * (depth + 1), ' ');
  std::string text;
  for (const auto& [key, part] : value.items()) {
    text += (text.empty() ? "\n" : ",\n") + margin;
    if (value.is_object()) text += ordered_json(key).dump() + ": ";
    text += pretty(part, depth + 1);
  }
  text += "\n" + std::string(2 * depth, ' ');
  return value.is_object() ? "{" + text + "}" : "[" + text + "]";
}

}  // namespace

std::string pretty_json(const ordered_json& value) {
  return pretty(value, 0) + "\n";
}

}  // namespace sagbench::bench
