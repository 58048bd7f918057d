#include "reports/jpeg_segments.hpp"

#include "reports/byte_order.hpp"

namespace sagbench::reports {
namespace {

constexpr std::uint8_t kStart = 0xD8;
constexpr std::uint8_t kEnd = 0xD9;

/// The marker that begins at `at`, behind any fill bytes; `at` is then behind it.
std::optional<std::uint8_t> marker_at(std::string_view bytes, std::size_t& at) {
  if (at >= bytes.size() || byte_at(bytes, at) != 0xFF) return std::nullopt;
  while (at < bytes.size() && byte_at(bytes, at) == 0xFF) ++at;
  if (at >= bytes.size()) return std::nullopt;
  return byte_at(bytes, at++);
}

}  // namespace

std::optional<std::vector<JpegSegment>> jpeg_segments(std::string_view bytes) {
  constexpr std::size_t kLength = 2;
  std::vector<JpegSegment> segments;
  std::size_t at = 0;
  if (marker_at(bytes, at) != kStart) return std::nullopt;
  for (;;) {
    const auto marker = marker_at(bytes, at);
    if (!marker || *marker == kEnd || at + kLength > bytes.size()) return std::nullopt;
    const std::size_t length = highest_first_16(bytes, at);
    if (length < kLength || at + length > bytes.size()) return std::nullopt;
    // The marker is two bytes, and any number of others that fill the line before it.
    segments.push_back(
        {*marker, bytes.substr(at - 2, 2 + length), bytes.substr(at + kLength, length - kLength)});
    if (*marker == kJpegScan) return segments;
    at += length;
  }
}

std::optional<std::string_view> jpeg_scans(std::string_view bytes, const JpegSegment& first_scan) {
  const auto begin = static_cast<std::size_t>(first_scan.bytes.data() - bytes.data());
  // Inside of a scan a byte FF is followed by a zero or a restart marker.
  const std::size_t end = bytes.find("\xFF\xD9", begin + first_scan.bytes.size());
  if (end == std::string_view::npos) return std::nullopt;
  return bytes.substr(begin, end + 2 - begin);
}

}  // namespace sagbench::reports
