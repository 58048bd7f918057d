#include "drivers/dialect.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drivers/dialect_keys.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kGap = "{}";

double rounded(const Operation& operation, double value) {
  if (!operation.decimals) return value;
  const double scale = std::pow(10.0, *operation.decimals);
  return std::round(value * scale) / scale;
}

}  // namespace

std::string filled(const std::string& word, const std::string& value) {
  const std::size_t gap = word.find(kGap);
  if (gap == std::string::npos) return word;
  std::string message = word;
  return message.replace(gap, kGap.size(), value);
}

std::string number_for(const Operation& operation, double value) {
  return fmt::format("{}", rounded(operation, value));
}

bool takes(const Operation& operation, double value) {
  const double sent = rounded(operation, value);
  return std::isfinite(sent) && (!operation.min || sent >= *operation.min) &&
         (!operation.max || sent <= *operation.max);
}

double longest_work_s(const Dialect& dialect) {
  double longest_s = 0.0;
  for (const auto& row : dialect_keys()) {
    const Operation* const operation = row.find(dialect);
    if (operation != nullptr && is_query(row.form))
      longest_s = std::max(longest_s, operation->takes_s);
  }
  return longest_s;
}

std::string limits_in_words(const Operation& operation) {
  if (operation.min && operation.max)
    return fmt::format("from {:g} to {:g}", *operation.min, *operation.max);
  if (operation.min) return fmt::format("at least {:g}", *operation.min);
  return fmt::format("at most {:g}", operation.max.value());
}

}  // namespace sagbench::drivers
