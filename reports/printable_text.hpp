#pragma once
// Names come from files and instruments; what is printed must be text and nothing else.

#include <string>
#include <string_view>

namespace sagbench::reports {

/// UTF-8 that is safe to draw on one line. Tabs and line ends become a space. Control characters,
/// direction overrides, zero-width characters, malformed UTF-8 and code points beyond U+FFFF (the
/// PDF library's limit) become U+FFFD, so that a spoilt name looks spoilt.
std::string printable(std::string_view text);

}  // namespace sagbench::reports
