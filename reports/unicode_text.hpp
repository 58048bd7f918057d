#pragma once
// Characters of a text by their numbers, and back.

#include <string>
#include <string_view>

namespace sagbench::reports {

/// Precondition: well-formed UTF-8, as printable() gives it.
std::u32string decoded(std::string_view utf8);
void append_utf8(std::string& text, char32_t character);

/// "U+1F50B".
std::string code_point_text(char32_t character);

/// The largest that the PDF library can name.
inline constexpr char32_t kLastOfBasicPlane = 0xFFFF;
/// `utf8` with what lies beyond that as its code point.
std::string in_basic_plane(std::string_view utf8);

}  // namespace sagbench::reports
