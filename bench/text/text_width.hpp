#pragma once
// How much room a line takes on a terminal.

#include <cstddef>
#include <string>
#include <string_view>

namespace sagbench::bench {

/// Columns at most: characters of scripts that some terminals set wide count as two. `text` is
/// UTF-8; what is none counts a column a byte.
std::size_t text_width(std::string_view text) noexcept;

/// The beginning of `text` that takes at most `columns`; no character is cut.
std::string fitted(std::string_view text, std::size_t columns);

}  // namespace sagbench::bench
