#include "drivers/quotes.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace sagbench::drivers {
namespace {

constexpr std::size_t kLongest = 60;

bool is_plain(char c) noexcept {
  return c >= ' ' && c <= '~';
}

std::string escaped(char c) {
  switch (c) {
    case '\n':
      return "\\n";
    case '\r':
      return "\\r";
    case '\t':
      return "\\t";
    default:
      break;
  }
  return is_plain(c) ? std::string(1, c) : fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
}

}  // namespace

std::string in_quotes(std::string_view text) {
  std::string shown;
  for (const char c : text) {
    const std::string next = escaped(c);
    if (shown.size() + next.size() > kLongest) return "\"" + shown + "\"...";
    shown += next;
  }
  return "\"" + shown + "\"";
}

bool is_printable(std::string_view text) noexcept {
  return std::all_of(text.begin(), text.end(), [](char c) { return is_plain(c) || c == '\t'; });
}

}  // namespace sagbench::drivers
