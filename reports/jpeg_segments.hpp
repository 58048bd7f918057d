#pragma once
// The outer form of a JPEG file (ITU-T T.81, annex B).

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace sagbench::reports {

struct JpegSegment {
  std::uint8_t marker = 0;   // second byte of it
  std::string_view bytes;    // with marker and length
  std::string_view content;  // after them
};

inline constexpr std::uint8_t kJpegScan = 0xDA;

/// The segments up to the first scan, that one last; nothing where the bytes do not go on like
/// that. They point into `bytes`.
std::optional<std::vector<JpegSegment>> jpeg_segments(std::string_view bytes);

/// From the first scan to the end of the picture, both included; nothing where it breaks off.
std::optional<std::string_view> jpeg_scans(std::string_view bytes, const JpegSegment& first_scan);

}  // namespace sagbench::reports
