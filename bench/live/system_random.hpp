#pragma once
// What secrets need of the system.

#include <span>
#include <string_view>

namespace sagbench::live {

/// Throws std::system_error where the system gives none.
void fill_with_random(std::span<char> bytes);
/// In a time that does not depend on where they differ. Precondition: both are as long.
bool same_bytes(std::string_view one, std::string_view other) noexcept;

}  // namespace sagbench::live
