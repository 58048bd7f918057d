#include "words.hpp"

#include <fmt/format.h>

#include <charconv>
#include <sstream>
#include <stdexcept>

namespace sagbench::campaign {

Words::Words(std::string_view text) {
  std::istringstream stream{std::string(text)};
  stream >> first_;
  for (std::string word; stream >> word;) {
    const std::size_t equals = word.find('=');
    if (equals == std::string::npos)
      throw std::invalid_argument(fmt::format("\"{}\": key=value is accepted", word));
    values_[word.substr(0, equals)] = word.substr(equals + 1);
  }
}

std::string Words::text(std::string_view key, std::string_view otherwise) const {
  known_[std::string(key)] = true;
  const auto found = values_.find(key);
  return found == values_.end() ? std::string(otherwise) : found->second;
}

double Words::number(std::string_view key, double otherwise) const {
  if (!has(key)) {
    known_[std::string(key)] = true;
    return otherwise;
  }
  const std::string digits = text(key, "");
  double value = 0.0;
  const char* const end = digits.data() + digits.size();
  const auto [rest, failure] = std::from_chars(digits.data(), end, value);
  if (failure != std::errc() || rest != end)
    throw std::invalid_argument(fmt::format("{}={}: a number is accepted", key, digits));
  return value;
}

void Words::finish() const {
  for (const auto& [key, value] : values_)
    if (!known_.contains(key))
      throw std::invalid_argument(fmt::format("{} {}={}: no such key", first_, key, value));
}

std::string number_text(double value) {
  return fmt::format("{}", value);
}

}  // namespace sagbench::campaign
