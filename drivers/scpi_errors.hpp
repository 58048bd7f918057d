#pragma once
// What an instrument says about its errors, read.

#include <optional>
#include <string>
#include <string_view>

namespace sagbench::drivers {

/// The number of an entry of the error queue: `-222,"Data out of range"`, `+0,"No error"`, or the
/// number alone. Nothing where it is no such entry. SCPI-1999 Vol. 2, 21.8.
std::optional<int> error_number(std::string_view entry) noexcept;

/// The standard event status register (IEEE 488.2, 11.5.1) in words: "execution error, power on".
/// Bits that report no trouble (operation complete, request control, user request) are left out.
/// Nothing where `answer` is no such register, 0 to 255.
std::optional<std::string> events_in_words(std::string_view answer);

}  // namespace sagbench::drivers
