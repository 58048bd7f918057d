#include "drivers/json_keys.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "drivers/dialect_words.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {

using nlohmann::json;

namespace {

/// A value as the user wrote it, cut to a readable length.
std::string shown(const json& value) {
  std::string text = value.dump(-1, ' ', true, json::error_handler_t::replace);
  constexpr std::size_t kLongest = 60;
  if (text.size() <= kLongest) return text;
  text.resize(kLongest - 3);
  return text.append("...");
}

bool lies_within(const json& value, double low, double high) {
  return value.is_number() && value.get<double>() >= low && value.get<double>() <= high;
}

}  // namespace

const json* JsonKeys::find(std::string_view key) {
  known_.emplace_back(key);
  const auto found = object_.find(std::string(key));
  return found == object_.end() ? nullptr : &*found;
}

Result<std::optional<double>> JsonKeys::number(std::string_view key, double low, double high) {
  const json* const value = find(key);
  if (value == nullptr) return std::optional<double>();
  if (!lies_within(*value, low, high))
    return refuse(key, fmt::format("a number from {:g} to {:g}", low, high));
  return std::optional(value->get<double>());
}

Result<std::optional<double>> JsonKeys::whole_number(std::string_view key, int low, int high) {
  const json* const value = find(key);
  if (value == nullptr) return std::optional<double>();
  const bool fits =
      lies_within(*value, low, high) && value->get<double>() == std::floor(value->get<double>());
  if (!fits) return refuse(key, fmt::format("a whole number from {} to {}", low, high));
  return std::optional(value->get<double>());
}

Result<void> JsonKeys::take_text(std::string_view key, std::string& into) {
  const json* const value = find(key);
  if (value == nullptr) return {};
  if (!value->is_string() || !is_plain_text(value->get<std::string>()))
    return refuse(key, "a text of plain ASCII on one line, not empty");
  into = value->get<std::string>();
  return {};
}

Result<void> JsonKeys::finish() const {
  for (const auto& [key, value] : object_.items()) {
    if (std::find(known_.begin(), known_.end(), key) != known_.end()) continue;
    return fault(fmt::format("unknown key {}; accepted here: {}", in_quotes(path(key)),
                             fmt::join(known_, ", ")));
  }
  return {};
}

Error JsonKeys::refuse(std::string_view key, std::string_view accepted) const {
  const auto found = object_.find(std::string(key));
  const std::string name = in_quotes(path(key));
  if (found == object_.end())
    return fault(fmt::format("{} is missing; it must be {}", name, accepted));
  return fault(fmt::format("{}: {} is not accepted; it must be {}", name, shown(*found), accepted));
}

Error JsonKeys::fault(const std::string& what) const {
  return Error{ErrorKind::caller, file_ + ": " + what};
}

std::string JsonKeys::path(std::string_view key) const {
  return where_.empty() ? std::string(key) : fmt::format("{}.{}", where_, key);
}

}  // namespace sagbench::drivers
