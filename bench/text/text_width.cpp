#include "bench/text/text_width.hpp"

#include <algorithm>

namespace sagbench::bench {
namespace {

struct Character {
  std::size_t bytes;
  std::size_t columns;
};

bool continues(char byte) noexcept {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

Character first_of(std::string_view text) noexcept {
  std::size_t bytes = 1;
  while (bytes < std::min<std::size_t>(text.size(), 4) && continues(text[bytes])) ++bytes;
  const auto lead = static_cast<unsigned char>(text.front());
  // Hangul letters begin at U+1100 (E1 84 80), Han and kana at U+2E80 (E2 BA 80). Between them
  // stand signs and blocks that are narrow.
  const auto second = bytes > 1 ? static_cast<unsigned char>(text[1]) : 0U;
  const bool hangul_letter = lead == 0xE1U && second >= 0x84U && second < 0x88U;
  const bool wide = lead > 0xE2U || (lead == 0xE2U && second >= 0xBAU) || hangul_letter;
  return {bytes, wide ? 2U : 1U};
}

}  // namespace

std::size_t text_width(std::string_view text) noexcept {
  std::size_t columns = 0;
  while (!text.empty()) {
    const Character character = first_of(text);
    columns += character.columns;
    text.remove_prefix(character.bytes);
  }
  return columns;
}

std::string fitted(std::string_view text, std::size_t columns) {
  std::size_t bytes = 0, used = 0;
  while (bytes < text.size()) {
    const Character next = first_of(text.substr(bytes));
    if (used + next.columns > columns) break;
    used += next.columns;
    bytes += next.bytes;
  }
  return std::string(text.substr(0, bytes));
}

}  // namespace sagbench::bench
