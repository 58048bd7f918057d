#include "bench/files/input_error.hpp"

#include <fmt/format.h>

namespace sagbench::bench {
namespace {

std::string one_line(const std::string& message) {
  std::string line;
  for (const char character : message) {
    const auto byte = static_cast<unsigned char>(character);
    if (byte < 0x20 || byte == 0x7f)
      line += fmt::format("\\x{:02X}", byte);
    else
      line += character;
  }
  return line;
}

}  // namespace

InputError::InputError(const std::string& message) : std::runtime_error(one_line(message)) {}

}  // namespace sagbench::bench
