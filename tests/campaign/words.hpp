#pragma once
// "kind key=value key=value": how faults and scenes are written in one line.

#include <map>
#include <string>
#include <string_view>

namespace sagbench::campaign {

class Words {
 public:
  /// Throws std::invalid_argument for a word after the first without "=".
  explicit Words(std::string_view text);

  const std::string& first() const noexcept { return first_; }
  bool has(std::string_view key) const { return values_.find(key) != values_.end(); }
  std::string text(std::string_view key, std::string_view otherwise) const;
  /// Throws std::invalid_argument where the value is no number.
  double number(std::string_view key, double otherwise) const;
  /// Throws std::invalid_argument for a key that nobody asked for.
  void finish() const;

 private:
  std::string first_;
  std::map<std::string, std::string, std::less<>> values_;
  mutable std::map<std::string, bool, std::less<>> known_;
};

/// The shortest text that reads back as the same number.
std::string number_text(double value);

}  // namespace sagbench::campaign
