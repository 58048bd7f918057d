#pragma once
// Instrument bytes in messages for people.

#include <string>
#include <string_view>

namespace sagbench::drivers {

/// `text` in quotes, on one line: control and non-ASCII bytes as \x.., cut after 60 characters.
std::string in_quotes(std::string_view text);

/// Only the characters of an SCPI message: space to tilde, and tabs.
bool is_printable(std::string_view text) noexcept;

}  // namespace sagbench::drivers
