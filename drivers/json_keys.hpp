#pragma once
// Strict reading of one JSON object: every fault is a `caller` error in one line that names file,
// key, value and what is accepted.

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/result.hpp"

namespace sagbench::drivers {

/// Each key asked for is known; finish() refuses all others. A key that is absent changes nothing.
class JsonKeys {
 public:
  /// `where` is the object's path in the file, "" at the top. `object` and `file` outlive this.
  JsonKeys(const nlohmann::json& object, const std::string& file, std::string where)
      : object_(object), file_(file), where_(std::move(where)) {}

  /// Null where the key is absent.
  const nlohmann::json* find(std::string_view key);
  /// A number from `low` to `high`, into a double or an optional one.
  template <class Number>
  Result<void> take_number(std::string_view key, double low, double high, Number& into) {
    const Result<std::optional<double>> value = number(key, low, high);
    if (!value) return value.error();
    if (*value) into = **value;
    return {};
  }
  /// The same for whole numbers; 3.0 is one, as it is in JSON Schema.
  template <class Number>
  Result<void> take_whole(std::string_view key, int low, int high, Number& into) {
    const Result<std::optional<double>> value = whole_number(key, low, high);
    if (!value) return value.error();
    if (*value) into = static_cast<int>(**value);
    return {};
  }
  /// Plain ASCII, not blank.
  Result<void> take_text(std::string_view key, std::string& into);
  /// Refuses keys nobody asked for. Call it last.
  Result<void> finish() const;

  /// About the value of `key`, or about its absence.
  Error refuse(std::string_view key, std::string_view accepted) const;
  Error fault(const std::string& what) const;
  std::string path(std::string_view key) const;
  const std::string& file() const noexcept { return file_; }

 private:
  Result<std::optional<double>> number(std::string_view key, double low, double high);
  Result<std::optional<double>> whole_number(std::string_view key, int low, int high);

  const nlohmann::json& object_;
  const std::string& file_;
  std::string where_;
  std::vector<std::string> known_;
};

}  // namespace sagbench::drivers
