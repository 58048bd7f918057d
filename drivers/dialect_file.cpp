// Reads a dialect file. Whoever changes what is accepted changes docs/schema/dialect.schema.json.

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <vector>

#include "drivers/dialect_keys.hpp"
#include "drivers/dialect_words.hpp"
#include "drivers/json_keys.hpp"
#include "drivers/json_text.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

using nlohmann::json;

constexpr const char* kSchema = "sagbench/dialect/1";
constexpr std::size_t kLargestFileBytes = 1 << 20;
constexpr double kLongestWorkS = 60.0;  // of settling and of an instrument's own work
constexpr int kMostDecimals = 9;

Result<void> take_words(JsonKeys& keys, std::string_view key, OperationForm form, const json& value,
                        std::string& into) {
  if (!value.is_string()) return keys.refuse(key, words_wanted(form));
  into = value.get<std::string>();
  if (!are_words(form, into)) return keys.refuse(key, words_wanted(form));
  return {};
}

Result<void> take_limits(JsonKeys& keys, Operation& operation) {
  constexpr double kLargest = 1e9;
  if (auto taken = keys.take_number("min", -kLargest, kLargest, operation.min); !taken)
    return taken;
  if (auto taken = keys.take_number("max", -kLargest, kLargest, operation.max); !taken)
    return taken;
  if (operation.min && operation.max && *operation.min > *operation.max)
    return keys.refuse("min", fmt::format("at most \"max\", {:g}", *operation.max));
  return keys.take_whole("decimals", 0, kMostDecimals, operation.decimals);
}

/// "answer" says what the key says already, for people; only a state has a choice.
Result<void> take_answer(JsonKeys& keys, OperationForm form, Operation& operation) {
  const json* const answer = keys.find("answer");
  const std::string_view usual = answer_word(form);
  const bool is_state = form == OperationForm::state_query;
  if (answer != nullptr && *answer != usual && !(is_state && *answer == "text"))
    return keys.refuse("answer",
                       is_state ? "\"boolean\" or \"text\"" : fmt::format("\"{}\"", usual));
  if (!is_state) return {};
  if (auto taken = keys.take_text("on", operation.on); !taken) return taken;
  if (auto taken = keys.take_text("off", operation.off); !taken) return taken;
  const bool is_text = answer != nullptr && *answer == "text";
  if (is_text && operation.on.empty()) return keys.refuse("on", "given: the text answered when on");
  if (is_text && operation.off.empty())
    return keys.refuse("off", "given: the text answered when off");
  if (!is_text && !(operation.on.empty() && operation.off.empty()))
    return keys.refuse("answer", "\"text\" where \"on\" and \"off\" are given");
  if (is_text && same_words(operation.on, operation.off))
    return keys.refuse("off", "another text than \"on\"");
  return {};
}

Result<void> take_first(JsonKeys& keys, Operation& operation) {
  const json* const first = keys.find("first");
  const bool known = first != nullptr && (*first == "current" || *first == "voltage");
  if (!known)
    return keys.refuse("first", "\"current\" or \"voltage\": what the answer begins with");
  operation.first = *first == "current" ? Quantity::current : Quantity::voltage;
  return {};
}

Result<void> take_details(JsonKeys& keys, OperationForm form, Operation& operation) {
  const bool sets_number =
      form == OperationForm::setting_of_number || form == OperationForm::setting_of_numbers;
  if (sets_number) {
    if (auto taken = take_limits(keys, operation); !taken) return taken;
  }
  if (is_query(form)) {
    if (auto taken = take_answer(keys, form, operation); !taken) return taken;
  } else if (auto taken = keys.take_number("settle_s", 0.0, kLongestWorkS, operation.settle_s);
             !taken) {
    return taken;
  }
  if (form == OperationForm::pair_query) {
    if (auto taken = take_first(keys, operation); !taken) return taken;
  }
  return keys.take_number("takes_s", 0.0, kLongestWorkS, operation.takes_s);
}

Result<Operation> operation_of(JsonKeys& parent, std::string_view key, OperationForm form,
                               const json& value) {
  Operation operation;
  const bool is_pair = form == OperationForm::pair_query;
  if (value.is_string() && !is_pair) {
    if (auto taken = take_words(parent, key, form, value, operation.send); !taken)
      return taken.error();
    return operation;
  }
  if (!value.is_object())
    return parent.refuse(key, is_pair ? "an object {\"send\": ..., \"first\": ...}"
                                      : "a text or an object {\"send\": ...}");
  JsonKeys keys(value, parent.file(), parent.path(key));
  const json* const send = keys.find("send");
  if (send == nullptr) return keys.refuse("send", words_wanted(form));
  if (auto taken = take_words(keys, "send", form, *send, operation.send); !taken)
    return taken.error();
  if (auto taken = take_details(keys, form, operation); !taken) return taken.error();
  if (auto done = keys.finish(); !done) return done.error();
  return operation;
}

template <class Owner>
Result<void> take_operation(JsonKeys& keys, const OperationKey<Owner>& row, Owner& owner) {
  const json* const value = keys.find(row.key);
  if (value == nullptr) return {};
  if (value->is_null() && !row.required()) {
    (owner.*std::get<1>(row.place)).reset();
    return {};
  }
  const Result<Operation> operation = operation_of(keys, row.key, row.form, *value);
  if (!operation) return operation.error();
  std::visit([&](auto place) { owner.*place = *operation; }, row.place);
  return {};
}

Result<void> take_list(JsonKeys& parent, Dialect& dialect) {
  const json* const value = parent.find("list");
  if (value == nullptr || value->is_null()) return {};
  if (!value->is_object()) return parent.refuse("list", "an object {\"max_points\": ...}");
  JsonKeys keys(*value, parent.file(), parent.path("list"));
  CurrentList list;
  if (auto taken = keys.take_whole("max_points", 1, CurrentList::kMostPoints, list.max_points);
      !taken)
    return taken;
  for (const auto& [key, into] : {std::pair("shortest_dwell_s", &list.shortest_dwell_s),
                                  std::pair("longest_dwell_s", &list.longest_dwell_s)}) {
    if (auto taken = keys.take_number(key, CurrentList::kShortestDwell_s,
                                      CurrentList::kLongestDwell_s, *into);
        !taken)
      return taken;
  }
  if (list.shortest_dwell_s > list.longest_dwell_s)
    return keys.refuse("shortest_dwell_s",
                       fmt::format("at most \"longest_dwell_s\", {:g}", list.longest_dwell_s));
  for (const auto& row : list_keys()) {
    if (auto taken = take_operation(keys, row, list); !taken) return taken;
  }
  if (auto done = keys.finish(); !done) return done;
  dialect.list = list;
  return {};
}

/// Only one operation may switch the input on.
Result<void> check_input_words(const JsonKeys& keys, const Dialect& dialect) {
  if (same_words(dialect.input_on.send, dialect.input_off.send))
    return keys.refuse("input_off", "other words than \"input_on\"");
  for (const auto& row : dialect_keys()) {
    const Operation* const operation = row.find(dialect);
    if (operation == nullptr || row.key == "input_on") continue;
    if (holds_unit(operation->send, dialect.input_on.send))
      return keys.refuse(row.key, "without the words of \"input_on\"");
  }
  if (!dialect.list) return {};
  for (const auto& row : list_keys()) {
    const Operation* const operation = row.find(*dialect.list);
    if (operation != nullptr && holds_unit(operation->send, dialect.input_on.send))
      return keys.refuse("list",
                         fmt::format("without the words of \"input_on\" in \"{}\"", row.key));
  }
  return {};
}

Result<Dialect> dialect_of(const std::string& file, const json& document) {
  JsonKeys keys(document, file, "");
  if (!document.is_object()) return keys.fault("must hold one JSON object {...}");
  const json* const schema = keys.find("schema");
  if (schema == nullptr || *schema != kSchema)
    return keys.refuse("schema", fmt::format("\"{}\"", kSchema));
  Dialect dialect;
  if (auto taken = keys.take_text("name", dialect.name); !taken) return taken.error();
  if (dialect.name.empty()) return keys.refuse("name", "a text");
  for (const auto& row : dialect_keys()) {
    if (auto taken = take_operation(keys, row, dialect); !taken) return taken.error();
  }
  if (auto taken = take_list(keys, dialect); !taken) return taken.error();
  if (auto done = keys.finish(); !done) return done.error();
  if (auto fine = check_input_words(keys, dialect); !fine) return fine.error();
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

std::string built_in_names() {
  std::string names = fmt::format("\"{}\", behind which", scpi_1999().name);
  for (const DialectVariant& variant : dialect_variants())
    names += fmt::format(" -{}", variant.word);
  return names + " may stand,";
}

}  // namespace

Result<Dialect> parse_dialect(const std::string& text, const std::string& file) {
  const auto fault = [&](const std::string& what) {
    return Error{ErrorKind::caller, file + ": " + what};
  };
  try {
    std::string twin;
    const json document = parse_json_text(text, twin);
    if (!twin.empty())
      return fault(fmt::format("key {} is given twice; give it once", in_quotes(twin)));
    return dialect_of(file, document);
  } catch (const json::parse_error& error) {
    return fault("not JSON from " + position(text, error.byte) + " on");
  } catch (const json::out_of_range&) {
    return fault("holds a number too large for a computer; write it in ordinary size");
  }
}

Result<Dialect> load_dialect(const std::string& name_or_path, const std::string& folder) {
  if (std::optional<Dialect> built_in = built_in_dialect(name_or_path)) return *std::move(built_in);
  const std::string file = (std::filesystem::path(folder) / name_or_path).string();
  std::error_code failure;
  const bool is_file = std::filesystem::is_regular_file(file, failure);
  std::ifstream stream;
  if (is_file) stream.open(std::filesystem::path(file), std::ios::binary);
  std::string text(kLargestFileBytes + 1, '\0');
  stream.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (!stream.is_open() || stream.bad()) {
    return Error{ErrorKind::caller,
                 fmt::format("dialect {}: neither {} nor a file that can be read ({})",
                             in_quotes(name_or_path), built_in_names(), file)};
  }
  text.resize(static_cast<std::size_t>(stream.gcount()));
  if (text.size() > kLargestFileBytes)
    return Error{ErrorKind::caller, file + ": larger than 1 MiB; a small JSON file is expected"};
  return parse_dialect(text, file);
}

}  // namespace sagbench::drivers
