#pragma once
// Names come from files and instruments; what is printed must be text and nothing else.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace sagbench::reports {

/// UTF-8 that is safe to draw on one line. Tabs and line ends become a space. Control characters,
/// direction overrides, characters that nobody sees and malformed UTF-8 become U+FFFD, so that a
/// spoilt name looks spoilt.
std::string printable(std::string_view text);

/// Characters of well-formed UTF-8; nothing where the text is none, or holds a control character or
/// a line end: what somebody may say in one line.
std::optional<std::size_t> characters_in_line(std::string_view text);

}  // namespace sagbench::reports
