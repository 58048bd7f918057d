#include "bench/files/json_reader.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <numeric>
#include <sstream>

#include "drivers/json_text.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;

constexpr std::uintmax_t kLargestFileBytes = 1 << 20;

std::pair<std::size_t, std::size_t> line_and_column(const std::string& text, std::size_t byte) {
  const auto end = text.begin() + static_cast<std::ptrdiff_t>(std::min(byte, text.size()));
  const auto line = 1 + std::count(text.begin(), end, '\n');
  const auto line_start = std::find(std::make_reverse_iterator(end), text.rend(), '\n').base();
  return {static_cast<std::size_t>(line), static_cast<std::size_t>(end - line_start)};
}

json parse_without_twins(const std::string& text, const std::string& origin) {
  std::string twin;
  json result = drivers::parse_json_text(text, twin);
  if (!twin.empty())
    throw InputError(fmt::format("{}: key \"{}\" is given twice; give it once", origin, twin));
  return result;
}

/// A value as the user wrote it, cut to a readable length, but not within a character.
std::string shown(const json& value) {
  std::string text = value.dump(-1, ' ', false, json::error_handler_t::replace);
  if (text.size() <= 40) return text;
  std::size_t end = 37;
  while ((static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
  text.resize(end);
  return text.append("...");
}

std::string kind_of(const json& value) {
  if (value.is_array()) return "a list";
  if (value.is_string()) return "a text";
  if (value.is_number()) return "a number";
  return value.dump();  // null, true or false
}

std::string describe(const Range& range) {
  const std::string unit = range.unit.empty() ? "" : fmt::format(" {}", range.unit);
  return fmt::format("a number {} {:g} up to {:g}{}", range.above_low ? "above" : "from", range.low,
                     range.high, unit);
}

/// 4 and 4.0 alike, as JSON Schema has it.
std::optional<int> whole_number(const json& value, int low, int high) {
  if (!value.is_number()) return std::nullopt;
  const double number = value.get<double>();
  if (number < low || number > high || number != std::floor(number)) return std::nullopt;
  return static_cast<int>(number);
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = std::exchange(row[0], i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0U : 1U);
      diagonal = std::exchange(row[j], std::min({replaced, row[j] + 1, row[j - 1] + 1}));
    }
  }
  return row.back();
}

/// The known key the user may have meant, as " (did you mean ...?)", or nothing.
std::string suggestion(std::string_view unknown, const std::vector<std::string>& known) {
  const auto nearest =
      std::min_element(known.begin(), known.end(), [&](const auto& a, const auto& b) {
        return edit_distance(unknown, a) < edit_distance(unknown, b);
      });
  if (nearest == known.end() || edit_distance(unknown, *nearest) > 1 + unknown.size() / 3)
    return "";
  return fmt::format(" (did you mean \"{}\"?)", *nearest);
}

bool is_iso_date(const std::string& text) {
  const auto digits = [&](std::size_t from, std::size_t count) {
    return std::all_of(text.begin() + static_cast<std::ptrdiff_t>(from),
                       text.begin() + static_cast<std::ptrdiff_t>(from + count),
                       [](unsigned char c) { return std::isdigit(c) != 0; });
  };
  if (text.size() != 10 || text[4] != '-' || text[7] != '-' || !digits(0, 4) || !digits(5, 2) ||
      !digits(8, 2))
    return false;
  const std::chrono::year_month_day day{
      std::chrono::year{std::stoi(text.substr(0, 4))},
      std::chrono::month{static_cast<unsigned>(std::stoi(text.substr(5, 2)))},
      std::chrono::day{static_cast<unsigned>(std::stoi(text.substr(8, 2)))}};
  return day.ok();
}

}  // namespace

json parse_json(const std::string& text, const std::string& origin) {
  try {
    json parsed = parse_without_twins(text, origin);
    if (!parsed.is_object())
      throw InputError(
          fmt::format("{}: holds {}; a JSON object {{...}} is expected", origin, kind_of(parsed)));
    return parsed;
  } catch (const json::parse_error& error) {
    const auto [line, column] = line_and_column(text, error.byte);
    throw InputError(fmt::format(
        "{}: not valid JSON near line {}, column {}; look there for a comma, a colon, a quote or a "
        "bracket that is missing or too much",
        origin, line, column));
  } catch (const json::out_of_range&) {
    throw InputError(fmt::format(
        "{}: holds a number too large for a computer; write it in ordinary size", origin));
  }
}

json read_json_file(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code ignored;
  if (!fs::exists(path, ignored)) throw InputError(fmt::format("{}: no such file", path));
  if (fs::is_directory(path, ignored))
    throw InputError(fmt::format("{}: is a folder; a JSON file is expected", path));
  if (fs::is_regular_file(path, ignored) && fs::file_size(path, ignored) > kLargestFileBytes)
    throw InputError(fmt::format("{}: larger than 1 MiB; a small JSON file is expected", path));
  std::ifstream file(fs::path(path), std::ios::binary);
  std::ostringstream text;
  if (!file || !(text << file.rdbuf()))
    throw InputError(fmt::format("{}: cannot be read, or is empty", path));
  return parse_json(text.str(), path);
}

ObjectReader::ObjectReader(const json& object, std::string file, std::string where)
    : json_(object), file_(std::move(file)), where_(std::move(where)) {
  if (!json_.is_object())
    throw InputError(fmt::format("{}: \"{}\": {} is not accepted; an object {{...}}", file_, where_,
                                 shown(json_)));
}

void ObjectReader::schema(std::string_view kind) {
  const std::string wanted = fmt::format("sagbench/{}/1", kind);
  if (text("schema") != wanted) refuse("schema", fmt::format("\"{}\"", wanted));
}

bool ObjectReader::has(std::string_view key) const {
  return json_.contains(std::string(key));
}

const json* ObjectReader::find(std::string_view key) {
  known_.emplace_back(key);
  const auto found = json_.find(std::string(key));
  return found == json_.end() ? nullptr : &*found;
}

std::string ObjectReader::path_of(std::string_view key) const {
  return where_.empty() ? std::string(key) : fmt::format("{}.{}", where_, key);
}

void ObjectReader::refuse(std::string_view key, const std::string& accepted) const {
  const auto found = json_.find(std::string(key));
  if (found == json_.end())
    throw InputError(fmt::format("{}: key \"{}\" is missing; {}", file_, path_of(key), accepted));
  throw InputError(fmt::format("{}: \"{}\": {} is not accepted; {}", file_, path_of(key),
                               shown(*found), accepted));
}

const json& ObjectReader::raw(std::string_view key) {
  const json* value = find(key);
  if (value == nullptr) refuse(key, "it is required");
  return *value;
}

std::optional<std::string> ObjectReader::maybe_text(std::string_view key) {
  const json* value = find(key);
  if (value == nullptr) return std::nullopt;
  if (!value->is_string()) refuse(key, "a text in quotes");
  auto text = value->get<std::string>();
  const bool control =
      std::any_of(text.begin(), text.end(), [](unsigned char c) { return c < 0x20 || c == 0x7f; });
  if (control || text.size() > 200)
    refuse(key, "a text of at most 200 bytes without control characters");
  return text;
}

std::string ObjectReader::text(std::string_view key) {
  auto value = maybe_text(key);
  if (!value || value->empty()) refuse(key, "a text in quotes, not empty");
  return *value;
}

double ObjectReader::checked(std::string_view key, const json& value, const Range& range) const {
  if (!value.is_number())
    refuse(key, describe(range) + (value.is_string() ? ", without quotes or unit" : ""));
  const double number = value.get<double>();
  const bool low_enough = number <= range.high;
  const bool high_enough = range.above_low ? number > range.low : number >= range.low;
  if (!low_enough || !high_enough) refuse(key, describe(range));
  return number;
}

std::optional<double> ObjectReader::maybe_number(std::string_view key, const Range& range) {
  const json* value = find(key);
  if (value == nullptr) return std::nullopt;
  return checked(key, *value, range);
}

double ObjectReader::number(std::string_view key, const Range& range) {
  const auto value = maybe_number(key, range);
  if (!value) refuse(key, describe(range));
  return *value;
}

std::optional<int> ObjectReader::maybe_whole(std::string_view key, int low, int high) {
  const json* value = find(key);
  if (value == nullptr) return std::nullopt;
  const auto number = whole_number(*value, low, high);
  if (!number) refuse(key, fmt::format("a whole number from {} to {}", low, high));
  return number;
}

int ObjectReader::whole(std::string_view key, int low, int high) {
  const auto value = maybe_whole(key, low, high);
  if (!value) refuse(key, fmt::format("a whole number from {} to {}", low, high));
  return *value;
}

std::optional<bool> ObjectReader::maybe_flag(std::string_view key) {
  const json* value = find(key);
  if (value == nullptr) return std::nullopt;
  if (!value->is_boolean()) refuse(key, "true or false");
  return value->get<bool>();
}

std::vector<double> ObjectReader::numbers(std::string_view key, const Range& range) {
  const json& value = raw(key);
  if (!value.is_array() || value.empty())
    refuse(key, fmt::format("a list [...] of at least one: {}", describe(range)));
  std::vector<double> result;
  for (const json& item : value) result.push_back(checked(key, item, range));
  return result;
}

std::vector<int> ObjectReader::maybe_wholes(std::string_view key, int low, int high) {
  const json* value = find(key);
  if (value == nullptr) return {};
  const std::string accepted =
      fmt::format("a list [...] of whole numbers from {} to {}", low, high);
  if (!value->is_array()) refuse(key, accepted);
  std::vector<int> result;
  for (const json& item : *value) {
    const auto number = whole_number(item, low, high);
    if (!number) refuse(key, accepted);
    result.push_back(*number);
  }
  return result;
}

std::size_t ObjectReader::choice(std::string_view key, const std::vector<std::string_view>& words) {
  const json* value = find(key);
  const std::string accepted = fmt::format("one of {}", fmt::join(words, ", "));
  if (value == nullptr || !value->is_string()) refuse(key, accepted);
  const auto found = std::find(words.begin(), words.end(), value->get<std::string>());
  if (found == words.end()) refuse(key, accepted);
  return static_cast<std::size_t>(found - words.begin());
}

std::string ObjectReader::maybe_date(std::string_view key) {
  const auto value = maybe_text(key);
  if (value && !is_iso_date(*value)) refuse(key, "a date like \"2026-03-01\"");
  return value.value_or("");
}

ObjectReader ObjectReader::object(std::string_view key) {
  return {raw(key), file_, path_of(key)};
}

std::optional<ObjectReader> ObjectReader::maybe_object(std::string_view key) {
  const json* value = find(key);
  if (value == nullptr) return std::nullopt;
  return ObjectReader(*value, file_, path_of(key));
}

void ObjectReader::finish() const {
  for (const auto& [key, value] : json_.items()) {
    if (std::find(known_.begin(), known_.end(), key) != known_.end()) continue;
    throw InputError(fmt::format("{}: unknown key \"{}\"{}; accepted here: {}", file_, path_of(key),
                                 suggestion(key, known_), fmt::join(known_, ", ")));
  }
}

}  // namespace sagbench::bench
