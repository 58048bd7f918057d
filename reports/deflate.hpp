#pragma once
// Bytes made smaller, and back (RFC 1950, the format of zlib).

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace sagbench::reports {

/// `level`: 1 (fast) to 12 (small, and very slow).
std::string deflated(std::string_view bytes, int level);

/// What was deflated, by whatever program; absent where that is damaged, where something follows
/// it, or where it grows beyond `most` bytes.
std::optional<std::string> inflated(std::string_view bytes, std::size_t most);

}  // namespace sagbench::reports
