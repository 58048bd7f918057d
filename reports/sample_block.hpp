#pragma once
// Some thousand samples in a row as one compressed block: how the archive keeps a finished run.
// docs/archive.md says how other programs read it.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

#include "analysis/recording.hpp"

namespace sagbench::reports {

/// Few enough that damage costs little, enough that the columns' likeness pays (measured: twice as
/// many save 2 % more).
inline constexpr std::size_t kSamplesInBlock = 4096;
/// Cells tapped, in one sample. No pack within the reach of these instruments has a quarter of it.
inline constexpr std::size_t kMostTaps = 255;

/// The samples' columns (see number_column.hpp) one after the other, deflated (RFC 1950, zlib).
/// Precondition: all numbers are finite, no more than kSamplesInBlock samples and kMostTaps taps.
std::string encode_block(std::span<const analysis::Sample> samples);

/// Writes what is in the block over `samples`, whose memory is used again, and returns true; false
/// where it is damaged or does not hold so many samples: then nothing is promised of theirs.
bool decode_block(std::string_view block, std::span<analysis::Sample> samples);

}  // namespace sagbench::reports
