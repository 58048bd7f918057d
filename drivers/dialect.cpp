#include "drivers/dialect.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kGap = "{}";

}  // namespace

const Dialect& scpi_1999() {
  static const Dialect dialect = [] {
    Dialect standard;  // the words are the defaults of the struct
    standard.name = "scpi-1999";
    return standard;
  }();
  return dialect;
}

std::string filled(const std::string& word, const std::string& value) {
  const std::size_t gap = word.find(kGap);
  if (gap == std::string::npos) return word;
  std::string message = word;
  return message.replace(gap, kGap.size(), value);
}

}  // namespace sagbench::drivers
