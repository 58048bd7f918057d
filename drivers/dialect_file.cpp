// Reads a dialect file.

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <variant>
#include <vector>

#include "drivers/dialect.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

using nlohmann::json;

constexpr const char* kSchema = "sagbench/dialect/1";

enum class Form {
  setting,              // "INP ON"
  setting_with_number,  // "CURR {}"
  query,                // "INP?"
  query_with_channel,   // "MEAS:VOLT? (@{})"
};

using Word = std::variant<std::string Dialect::*, std::optional<std::string> Dialect::*>;

struct Entry {
  const char* key;
  Form form;
  Word word;
};

const std::vector<Entry>& entries() {
  static const std::vector<Entry> all = {
      {"error_query", Form::query, &Dialect::error_query},
      {"clear", Form::setting, &Dialect::clear},
      {"current_mode", Form::setting, &Dialect::current_mode},
      {"set_current", Form::setting_with_number, &Dialect::set_current},
      {"current_protection", Form::setting_with_number, &Dialect::current_protection},
      {"current_protection_query", Form::query, &Dialect::current_protection_query},
      {"low_voltage_stop", Form::setting_with_number, &Dialect::low_voltage_stop},
      {"low_voltage_stop_query", Form::query, &Dialect::low_voltage_stop_query},
      {"watchdog", Form::setting_with_number, &Dialect::watchdog},
      {"input_on", Form::setting, &Dialect::input_on},
      {"input_off", Form::setting, &Dialect::input_off},
      {"input_query", Form::query, &Dialect::input_query},
      {"measure_voltage", Form::query, &Dialect::measure_voltage},
      {"measure_current", Form::query, &Dialect::measure_current},
      {"measure_voltage_channel", Form::query_with_channel, &Dialect::measure_voltage_channel},
      {"measure_temperature_channel", Form::query_with_channel,
       &Dialect::measure_temperature_channel},
  };
  return all;
}

Error fault(const std::string& file, const std::string& what) {
  return Error{ErrorKind::caller, file + ": " + what};
}

std::size_t count_gaps(std::string_view word) {
  std::size_t count = 0;
  for (std::size_t at = word.find("{}"); at != std::string_view::npos;
       at = word.find("{}", at + 2)) {
    ++count;
  }
  return count;
}

/// What a word of this form must be; empty when it is.
std::string complaint(Form form, const std::string& word) {
  const bool asks = form == Form::query || form == Form::query_with_channel;
  const bool has_gap = form == Form::setting_with_number || form == Form::query_with_channel;
  if (word.find_first_not_of(" \t") == std::string::npos) return "must not be empty";
  if (!is_printable(word)) return "must be one line of plain ASCII";
  if (has_gap && count_gaps(word) != 1) {
    return form == Form::setting_with_number ? "must hold one {} for the number"
                                             : "must hold one {} for the channel";
  }
  if (!has_gap && count_gaps(word) != 0) return "takes no {}";
  if (asks && word.find('?') == std::string::npos) return "must be a query, with a ?";
  if (!asks && word.find('?') != std::string::npos) return "must be a setting, without a ?";
  return {};
}

std::string accepted_keys() {
  std::string keys = "schema, name";
  for (const Entry& entry : entries()) keys += std::string(", ") + entry.key;
  return keys;
}

Result<std::string> text_of(const std::string& file, const std::string& key, const json& value) {
  if (value.is_string()) return value.get<std::string>();
  return fault(file, fmt::format("\"{}\" is {}: must be a text", key, value.type_name()));
}

Result<void> take(const std::string& file, const std::string& key, const std::string& text,
                  Dialect& dialect) {
  const auto same_key = [&](const Entry& entry) { return entry.key == key; };
  const auto entry = std::find_if(entries().begin(), entries().end(), same_key);
  if (entry == entries().end()) {
    return fault(file,
                 fmt::format("unknown key {}; accepted: {}", in_quotes(key), accepted_keys()));
  }
  if (const std::string what = complaint(entry->form, text); !what.empty()) {
    return fault(file, fmt::format("\"{}\" is {}: {}", key, in_quotes(text), what));
  }
  std::visit([&](auto member) { dialect.*member = text; }, entry->word);
  return {};
}

Result<Dialect> dialect_of(const std::string& file, const json& document) {
  if (!document.is_object()) return fault(file, "must hold one JSON object");
  if (!document.contains("schema") || document.at("schema") != kSchema) {
    return fault(file, fmt::format("\"schema\" must be \"{}\"", kSchema));
  }
  if (!document.contains("name")) return fault(file, "\"name\" is missing: must be a text");
  Dialect dialect;
  for (const auto& [key, value] : document.items()) {
    if (key == "schema") continue;
    const Result<std::string> text = text_of(file, key, value);
    if (!text) return text.error();
    if (key == "name") {
      dialect.name = *text;
    } else if (const Result<void> taken = take(file, key, *text, dialect); !taken) {
      return taken.error();
    }
  }
  if (dialect.input_on == dialect.input_off) {
    return fault(file, "\"input_on\" and \"input_off\" must differ");
  }
  return dialect;
}

/// Line and column, from 1, of a byte count as the JSON parser gives it.
std::string position(const std::string& text, std::size_t bytes) {
  const std::size_t at = std::min(bytes == 0 ? 0 : bytes - 1, text.size());
  const auto end = text.begin() + static_cast<std::ptrdiff_t>(at);
  const auto lines = std::count(text.begin(), end, '\n');
  const std::size_t line_start = at == 0 ? std::string::npos : text.rfind('\n', at - 1);
  const std::size_t column = line_start == std::string::npos ? at : at - line_start - 1;
  return fmt::format("line {}, column {}", lines + 1, column + 1);
}

}  // namespace

Result<Dialect> load_dialect(const std::string& name_or_path, const std::string& folder) {
  if (name_or_path == scpi_1999().name) return scpi_1999();
  const std::string file = (std::filesystem::path(folder) / name_or_path).string();
  std::error_code ignored;
  const bool is_file = std::filesystem::is_regular_file(file, ignored);
  std::ifstream stream(file, std::ios::binary);
  if (!is_file || !stream) {
    return Error{ErrorKind::caller,
                 fmt::format("dialect {}: neither \"{}\" nor a file that can be read ({})",
                             in_quotes(name_or_path), scpi_1999().name, file)};
  }
  const std::string text{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
  try {
    return dialect_of(file, json::parse(text));
  } catch (const json::parse_error& error) {
    return fault(file, "not JSON from " + position(text, error.byte) + " on");
  }
}

}  // namespace sagbench::drivers
