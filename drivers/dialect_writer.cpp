// Writes a dialect file.

#include <nlohmann/json.hpp>

#include "drivers/dialect_keys.hpp"

namespace sagbench::drivers {
namespace {

using nlohmann::ordered_json;

ordered_json json_of(const Operation& operation, OperationForm form) {
  const bool words_only = operation == Operation{operation.send};
  if (words_only && form != OperationForm::pair_query) return operation.send;
  ordered_json json = {{"send", operation.send}};
  if (is_query(form)) json["answer"] = operation.on.empty() ? answer_word(form) : "text";
  if (!operation.on.empty()) json["on"] = operation.on;
  if (!operation.off.empty()) json["off"] = operation.off;
  if (form == OperationForm::pair_query)
    json["first"] = operation.first == Quantity::current ? "current" : "voltage";
  if (operation.min) json["min"] = *operation.min;
  if (operation.max) json["max"] = *operation.max;
  if (operation.decimals) json["decimals"] = *operation.decimals;
  if (operation.settle_s != 0.0) json["settle_s"] = operation.settle_s;
  if (operation.takes_s != 0.0) json["takes_s"] = operation.takes_s;
  return json;
}

/// Null says that an operation is absent which the reader would otherwise fill in.
template <class Owner>
void add(ordered_json& json, const OperationKey<Owner>& row, const Owner& owner,
         const Owner& usual) {
  if (const Operation* const operation = row.find(owner)) {
    json[std::string(row.key)] = json_of(*operation, row.form);
  } else if (row.find(usual) != nullptr) {
    json[std::string(row.key)] = nullptr;
  }
}

ordered_json json_of(const CurrentList& list) {
  ordered_json json = {{"max_points", list.max_points},
                       {"shortest_dwell_s", list.shortest_dwell_s},
                       {"longest_dwell_s", list.longest_dwell_s}};
  for (const auto& row : list_keys()) add(json, row, list, CurrentList{});
  return json;
}

}  // namespace

std::string to_json(const Dialect& dialect) {
  ordered_json json = {{"schema", "sagbench/dialect/1"}, {"name", dialect.name}};
  for (const auto& row : dialect_keys()) add(json, row, dialect, Dialect{});
  if (dialect.list) json["list"] = json_of(*dialect.list);
  return json.dump(2, ' ', true) + "\n";
}

}  // namespace sagbench::drivers
