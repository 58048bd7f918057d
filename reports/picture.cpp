#include "reports/picture.hpp"

#include <fmt/format.h>
#include <zlib.h>

#include <algorithm>
#include <cstddef>

#include "reports/byte_order.hpp"
#include "reports/exif_orientation.hpp"
#include "reports/jpeg_segments.hpp"

namespace sagbench::reports {
namespace {

using analysis::Finding;

constexpr std::string_view kPngBegin("\x89PNG\r\n\x1A\n", 8);

Finding<Picture> none(std::string why) {
  return Finding<Picture>::missing(std::move(why));
}

bool is_frame(std::uint8_t marker) {
  return marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC;
}

/// A frame that viewers of PDF know: baseline, extended or progressive, by Huffman's codes.
bool is_usual(std::uint8_t marker) {
  return marker <= 0xC2;
}

Finding<Picture> of_frame(const JpegSegment& frame) {
  constexpr std::size_t kHead = 6;
  if (!is_usual(frame.marker)) return none("is a JPEG of a kind that few programs can show");
  if (frame.content.size() < kHead || byte_at(frame.content, 0) != 8)
    return none("is no JPEG of eight bits a colour");
  Picture picture{"image/jpeg"};
  picture.height = highest_first_16(frame.content, 1);
  picture.width = highest_first_16(frame.content, 3);
  picture.channels = byte_at(frame.content, 5);
  return picture;
}

Finding<Picture> jpeg_in(std::string_view bytes) {
  const auto segments = jpeg_segments(bytes);
  if (!segments || !jpeg_scans(bytes, segments->back())) return none("is a JPEG that breaks off");
  const auto frame = std::ranges::find_if(*segments, is_frame, &JpegSegment::marker);
  if (frame == segments->end()) return none("is a JPEG without a picture");
  Finding<Picture> found = of_frame(*frame);
  if (!found) return found;
  Picture picture = *found;
  constexpr std::uint8_t kExif = 0xE1;
  for (const JpegSegment& segment : *segments) {
    const int told = segment.marker == kExif ? exif_orientation(segment.content) : 1;
    if (told != 1) picture.orientation = told;
  }
  return picture;
}

/// Length, type, content and checksum of each chunk, up to the last.
bool is_whole_png(std::string_view bytes) {
  constexpr std::size_t kAround = 12;
  std::size_t at = kPngBegin.size();
  while (at <= bytes.size() && bytes.size() - at >= kAround) {
    const std::size_t length = highest_first_32(bytes, at);
    if (length > bytes.size() - at - kAround) return false;
    const auto* checked = reinterpret_cast<const Bytef*>(bytes.data() + at + 4);
    const auto sum = crc32(0, checked, static_cast<uInt>(length + 4));
    if (sum != highest_first_32(bytes, at + 8 + length)) return false;
    if (bytes.substr(at + 4, 4) == "IEND") return true;
    at += kAround + length;
  }
  return false;
}

Finding<Picture> png_in(std::string_view bytes) {
  constexpr std::size_t kHead = 16;
  if (!is_whole_png(bytes) || bytes.substr(kPngBegin.size() + 4, 4) != "IHDR")
    return none("is a PNG that breaks off or is damaged");
  Picture picture{"image/png"};
  picture.width = highest_first_32(bytes, kHead);
  picture.height = highest_first_32(bytes, kHead + 4);
  return picture;
}

Finding<Picture> of_sound_size(Finding<Picture> found) {
  if (!found) return found;
  const std::uint64_t pixels = std::uint64_t{found->width} * found->height;
  if (pixels == 0) return none("is a picture without pixels");
  if (pixels > kMostPixels)
    return none(fmt::format("has {} x {} pixels; at most {} million are taken", found->width,
                            found->height, kMostPixels / 1'000'000));
  return found;
}

/// A comment, or a program's own, but for the two that tell which colours the channels are.
bool is_beside(const JpegSegment& segment) {
  constexpr std::uint8_t kComment = 0xFE, kApplication = 0xE0, kAdobe = 0xEE;
  if (segment.marker == kComment) return true;
  const bool application = (segment.marker & 0xF0U) == kApplication;
  return application && segment.marker != kAdobe && !segment.content.starts_with("JFIF");
}

}  // namespace

Finding<Picture> picture_in(std::string_view bytes) {
  if (bytes.starts_with("\xFF\xD8\xFF")) return of_sound_size(jpeg_in(bytes));
  if (bytes.starts_with(kPngBegin)) return of_sound_size(png_in(bytes));
  return none("is neither a JPEG nor a PNG picture; save it as one of them");
}

std::string bare_jpeg(std::string_view bytes) {
  const auto segments = jpeg_segments(bytes);
  std::string bare("\xFF\xD8");
  for (const JpegSegment& segment : *segments) {
    if (segment.marker != kJpegScan && !is_beside(segment)) bare += segment.bytes;
  }
  return bare.append(*jpeg_scans(bytes, segments->back()));
}

}  // namespace sagbench::reports
