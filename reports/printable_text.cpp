#include "reports/printable_text.hpp"

#include <cstddef>
#include <cstdint>

namespace sagbench::reports {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";

struct Decoded {
  std::uint32_t code_point = 0;
  std::size_t length = 1;
  bool valid = false;
};

std::size_t expected_length(unsigned char lead) {
  if (lead < 0x80) return 1;
  if (lead >= 0xC2 && lead <= 0xDF) return 2;
  if (lead >= 0xE0 && lead <= 0xEF) return 3;
  if (lead >= 0xF0 && lead <= 0xF4) return 4;
  return 0;
}

// Well-formed sequences only: no overlong forms, no surrogates (RFC 3629, section 3).
Decoded decode(std::string_view text) {
  constexpr std::uint32_t kSmallest[] = {0, 0, 0x80, 0x800, 0x10000};
  const auto lead = static_cast<unsigned char>(text[0]);
  const std::size_t length = expected_length(lead);
  if (length == 0 || length > text.size()) return {};
  std::uint32_t code_point = length == 1 ? lead : lead & (0xFFU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    const auto next = static_cast<unsigned char>(text[i]);
    if ((next & 0xC0U) != 0x80U) return {};
    code_point = (code_point << 6U) | (next & 0x3FU);
  }
  const bool surrogate = code_point >= 0xD800 && code_point <= 0xDFFF;
  if (code_point < kSmallest[length] || surrogate || code_point > 0x10FFFF) return {};
  return {code_point, length, true};
}

bool is_space(std::uint32_t c) {
  return c == '\t' || c == '\n' || c == '\r';
}

bool is_control(std::uint32_t c) {
  return c < 0x20 || (c >= 0x7F && c <= 0x9F);
}

bool is_unprintable(std::uint32_t c) {
  if (is_control(c)) return true;
  if (c == 0x200C || c == 0x200D) return false;  // part and join letters: spelling, in some scripts
  if (c >= 0x200B && c <= 0x200F) return true;   // zero width, direction marks
  if (c >= 0x2028 && c <= 0x202E) return true;   // separators, direction overrides
  if (c >= 0x2060 && c <= 0x206F) return true;   // invisible operators, direction isolates
  if (c >= 0xE0000 && c <= 0xE0FFF) return true;   // tags
  return c == 0xFEFF || (c & 0xFFFEU) == 0xFFFEU;  // no characters
}

}  // namespace

std::string printable(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const Decoded next = decode(text);
    if (!next.valid || (is_unprintable(next.code_point) && !is_space(next.code_point))) {
      result += kReplacement;
    } else if (is_space(next.code_point)) {
      result += ' ';
    } else {
      result += text.substr(0, next.length);
    }
    text.remove_prefix(next.length);
  }
  return result;
}

std::optional<std::size_t> characters_in_line(std::string_view text) {
  std::size_t count = 0;
  for (; !text.empty(); ++count) {
    const Decoded next = decode(text);
    if (!next.valid || is_control(next.code_point)) return std::nullopt;
    text.remove_prefix(next.length);
  }
  return count;
}

}  // namespace sagbench::reports
