// A file that is given as a photo, or stands as one in an archive that anybody may have written.

#include <zlib.h>

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "promise.hpp"
#include "reports/picture.hpp"
#include "reports/png_pixels.hpp"

namespace sagbench::fuzz {
namespace {

using reports::Picture;

constexpr std::string_view kPng("\x89PNG\r\n\x1A\n", 8);
constexpr std::uint64_t kQuicklyDrawn = 1'000'000;  // pixels

std::uint32_t number_at(std::string_view bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i)
    value = value << 8U | static_cast<std::uint8_t>(bytes[at + i]);
  return value;
}

/// What changes a chunk breaks its checksum; without the right one nothing behind that is reached.
std::string with_right_checksums(std::string_view bytes) {
  constexpr std::size_t kAround = 12;  // length, type, checksum
  std::string png(bytes);
  std::size_t at = kPng.size();
  while (at <= png.size() && png.size() - at >= kAround) {
    const std::size_t length = number_at(png, at);
    if (length > png.size() - at - kAround) break;
    const auto* checked = reinterpret_cast<const Bytef*>(png.data() + at + 4);
    const auto sum = static_cast<std::uint32_t>(crc32(0, checked, static_cast<uInt>(length + 4)));
    for (std::size_t i = 0; i < 4; ++i)
      png[at + 8 + length + i] = static_cast<char>(sum >> (24U - 8U * i) & 0xFFU);
    at += kAround + length;
  }
  return png;
}

void check_jpeg(const Picture& picture, std::string_view bytes) {
  const std::string bare = reports::bare_jpeg(bytes);
  promise(bare.size() <= bytes.size(), "taking something away makes nothing larger");
  promise(bare.find("Exif") == std::string::npos || bytes.find("Exif") != std::string_view::npos,
          "taking something away adds nothing");
  const auto again = reports::picture_in(bare);
  promise(static_cast<bool>(again), "what was made bare is a picture");
  promise(again->width == picture.width && again->height == picture.height &&
              again->channels == picture.channels,
          "it is the same picture");
  promise(again->orientation == 1, "what tells how the camera was held is gone");
  promise(reports::bare_jpeg(bare) == bare, "nothing is beside a bare picture");
}

void check_png(const Picture& picture, std::string_view bytes) {
  constexpr std::size_t kLongest = 50;
  if (std::uint64_t{picture.width} * picture.height > kQuicklyDrawn) return;
  const auto pixels = reports::png_pixels(bytes, kLongest);
  if (!pixels) return;
  promise(pixels->width >= 1 && pixels->width <= kLongest, "as wide as wanted");
  promise(pixels->height >= 1 && pixels->height <= kLongest, "as high as wanted");
  promise(pixels->rgb.size() == 3 * pixels->width * pixels->height, "three bytes a pixel");
}

void check_picture(std::string_view bytes) {
  const auto picture = reports::picture_in(bytes);
  if (!picture) return promise_one_line(picture.why());
  const std::uint64_t pixels = std::uint64_t{picture->width} * picture->height;
  promise(pixels >= 1 && pixels <= reports::kMostPixels, "a picture has pixels, not too many");
  promise(picture->orientation >= 1 && picture->orientation <= 8, "one of eight ways to hold it");
  if (picture->media_type == "image/jpeg")
    check_jpeg(*picture, bytes);
  else
    check_png(*picture, bytes);
}

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench::fuzz;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  check_picture(bytes);
  if (bytes.starts_with(kPng)) check_picture(with_right_checksums(bytes));
  return 0;
}
