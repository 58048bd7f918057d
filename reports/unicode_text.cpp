#include "reports/unicode_text.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <cstdint>

namespace sagbench::reports {
namespace {

constexpr unsigned kBitsOfNext = 6;  // that a byte after the first holds
constexpr unsigned kNextMask = 0x3F;

std::size_t length_of(unsigned char lead) {
  if (lead < 0x80) return 1;
  if (lead < 0xE0) return 2;
  return lead < 0xF0 ? 3 : 4;
}

char next_byte(char32_t character, unsigned shift) {
  return static_cast<char>(0x80U | ((character >> shift) & kNextMask));
}

}  // namespace

std::u32string decoded(std::string_view utf8) {
  std::u32string text;
  for (std::size_t at = 0; at < utf8.size();) {
    const auto lead = static_cast<unsigned char>(utf8[at]);
    const std::size_t length = length_of(lead);
    char32_t character = length == 1 ? lead : lead & (0xFFU >> (length + 1));
    for (std::size_t i = 1; i < length && at + i < utf8.size(); ++i)
      character =
          (character << kBitsOfNext) | (static_cast<unsigned char>(utf8[at + i]) & kNextMask);
    text += character;
    at += length;
  }
  return text;
}

void append_utf8(std::string& text, char32_t character) {
  if (character < 0x80) {
    text += static_cast<char>(character);
  } else if (character < 0x800) {
    text += static_cast<char>(0xC0U | (character >> 6U));
    text += next_byte(character, 0);
  } else if (character <= kLastOfBasicPlane) {
    text += static_cast<char>(0xE0U | (character >> 12U));
    text += next_byte(character, 6);
    text += next_byte(character, 0);
  } else {
    text += static_cast<char>(0xF0U | (character >> 18U));
    for (const unsigned shift : {12U, 6U, 0U}) text += next_byte(character, shift);
  }
}

std::string code_point_text(char32_t character) {
  return fmt::format("U+{:04X}", static_cast<std::uint32_t>(character));
}

std::string in_basic_plane(std::string_view utf8) {
  std::string text;
  for (const char32_t character : decoded(utf8)) {
    if (character > kLastOfBasicPlane) {
      text += code_point_text(character);
    } else {
      append_utf8(text, character);
    }
  }
  return text;
}

}  // namespace sagbench::reports
