#pragma once
// A column of numbers as few bytes: what a block of samples is made of. Every number comes back bit
// for bit, but that the sign of a zero is lost.
//
// One byte says what follows: 0 nothing (no row has a number), 1 decimal numbers, 2 plain ones.
// Then one byte whether rows without a number exist, and if so a bit a row, the lowest first, 1
// where there is one. Decimal: one byte of decimals d, one of order o, then the differences of
// order o of the whole numbers 10^d times the values, each zigzag (0, -1, 1, -2 ... as 0, 1, 2, 3
// ...) in groups of seven bits, the lowest first, the top bit set in all but the last. Plain: IEEE
// 754 binary64, each exclusive-or the one before it, first all lowest bytes, then all second ones
// and so on.

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::reports {

/// A finite number a row, or kNoNumber.
using NumberColumn = std::vector<double>;
inline constexpr double kNoNumber = std::numeric_limits<double>::quiet_NaN();

/// Appends the column to `bytes`.
void encode_column(std::span<const double> column, std::string& bytes);

/// Takes a column of as many rows as `column` has from the front of `bytes`; false, and both in any
/// state, where they are no such column. Never asks for more memory than so many numbers need.
bool decode_column(std::string_view& bytes, std::span<double> column);

/// The same for a whole number, as it stands in a decimal column.
void encode_whole(std::uint64_t value, std::string& bytes);
std::optional<std::uint64_t> decode_whole(std::string_view& bytes);

}  // namespace sagbench::reports
