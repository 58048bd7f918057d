#pragma once
// Picture files for tests, made byte by byte. data/quarters.jpg (48 x 32 pixels: red, green; blue,
// yellow) was made by libjpeg.

#include <zlib.h>

#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>

#include "deflated.hpp"

namespace sagbench::reports::testing {

inline std::string highest_first(std::uint32_t value, int bytes) {
  std::string text;
  for (int at = bytes - 1; at >= 0; --at)
    text += static_cast<char>(value >> (8U * static_cast<unsigned>(at)) & 0xFFU);
  return text;
}

inline std::string jpeg_segment(std::uint8_t marker, const std::string& content) {
  return std::string("\xFF") + static_cast<char>(marker) +
         highest_first(static_cast<std::uint32_t>(content.size() + 2), 2) + content;
}

/// Its frame, and a scan that shows nothing. `before`: segments that come before the frame.
inline std::string jpeg_frame(std::uint32_t width, std::uint32_t height, int channels = 3,
                              const std::string& before = "", std::uint8_t kind = 0xC0) {
  const std::string frame = "\x08" + highest_first(height, 2) + highest_first(width, 2) +
                            static_cast<char>(channels) +
                            std::string(static_cast<std::size_t>(3 * channels), '\x11');
  return "\xFF\xD8" + before + jpeg_segment(kind, frame) + jpeg_segment(0xDA, "scan") +
         std::string("data\xFF\x00more", 10) + "\xFF\xD9";
}

/// As a camera writes it that was held so.
inline std::string exif(std::uint16_t orientation, bool lowest_first = false) {
  const std::string tiff = lowest_first
                               ? std::string("II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0", 18) +
                                     static_cast<char>(orientation) + std::string(3, '\0')
                               : std::string("MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01", 18) +
                                     highest_first(orientation, 2) + std::string(2, '\0');
  return jpeg_segment(0xE1, std::string("Exif\0\0", 6) + tiff + "taken at home");
}

inline std::string png_chunk(const std::string& type, const std::string& content) {
  const std::string checked = type + content;
  const auto sum =
      crc32(0, reinterpret_cast<const Bytef*>(checked.data()), static_cast<uInt>(checked.size()));
  return highest_first(static_cast<std::uint32_t>(content.size()), 4) + checked +
         highest_first(static_cast<std::uint32_t>(sum), 4);
}

inline std::string png_of(std::uint32_t width, std::uint32_t height, const std::string& rows) {
  return std::string("\x89PNG\r\n\x1A\n", 8) +
         png_chunk("IHDR", highest_first(width, 4) + highest_first(height, 4) +
                               std::string("\x08\x02\0\0\0", 5)) +
         png_chunk("IDAT", deflated(rows)) + png_chunk("IEND", "");
}

/// Of one colour.
inline std::string png(std::uint32_t width, std::uint32_t height,
                       const std::string& rgb = "\x20\x60\xA0") {
  std::string row(1, '\0');
  for (std::uint32_t x = 0; x < width; ++x) row += rgb;
  std::string rows;
  for (std::uint32_t y = 0; y < height; ++y) rows += row;
  return png_of(width, height, rows);
}

inline std::string quarters_jpeg() {
  std::ifstream file(SAGBENCH_TEST_DATA "/unit/reports/data/quarters.jpg", std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace sagbench::reports::testing
