#pragma once
// Strict reading of the user's JSON files: every fault is one line that names file, key, value and
// what is accepted.

#include <initializer_list>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bench/files/input_error.hpp"

namespace sagbench::bench {

/// Accepted numbers: from `low` to `high`, both included unless `above_low`. `unit` is for
/// messages: "Ah", "V", "" for none.
struct Range {
  double low;
  double high;
  std::string_view unit;
  bool above_low = false;
};

/// Parses a whole file. Throws InputError: missing, unreadable, too big, not JSON (with line and
/// column), a key given twice, not an object.
nlohmann::json read_json_file(const std::string& path);
/// The same for a text already in memory; `origin` stands for the file in messages.
nlohmann::json parse_json(const std::string& text, const std::string& origin);

/// One object of such a file. Each key read is known; finish() refuses all others. Throws
/// InputError.
class ObjectReader {
 public:
  /// `json` must outlive the reader. `where` is the dotted path inside the file, empty at the top.
  ObjectReader(const nlohmann::json& json, std::string file, std::string where = "");

  /// Requires "schema": "sagbench/<kind>/1".
  void schema(std::string_view kind);
  bool has(std::string_view key) const;
  std::string text(std::string_view key);
  std::optional<std::string> maybe_text(std::string_view key);
  double number(std::string_view key, const Range& range);
  std::optional<double> maybe_number(std::string_view key, const Range& range);
  std::optional<int> maybe_whole(std::string_view key, int low, int high);
  int whole(std::string_view key, int low, int high);
  std::optional<bool> maybe_flag(std::string_view key);
  std::vector<double> numbers(std::string_view key, const Range& range);
  std::vector<int> maybe_wholes(std::string_view key, int low, int high);
  /// One of `words`; returns its place.
  std::size_t choice(std::string_view key, const std::vector<std::string_view>& words);
  /// ISO date "2026-03-01"; empty when left out.
  std::string maybe_date(std::string_view key);
  ObjectReader object(std::string_view key);
  std::optional<ObjectReader> maybe_object(std::string_view key);
  /// The raw value; the key counts as known.
  const nlohmann::json& raw(std::string_view key);
  /// Refuses keys nobody asked for. Call it last.
  void finish() const;

  /// InputError about `key` of this object, for checks that involve more than one key.
  [[noreturn]] void refuse(std::string_view key, const std::string& accepted) const;
  const std::string& file() const noexcept { return file_; }

 private:
  const nlohmann::json* find(std::string_view key);
  double checked(std::string_view key, const nlohmann::json& value, const Range& range) const;
  std::string path_of(std::string_view key) const;

  const nlohmann::json& json_;
  std::string file_;
  std::string where_;
  std::vector<std::string> known_;
};

}  // namespace sagbench::bench
