#include "reports/png_pixels.hpp"

#include <png.h>

#include <algorithm>

namespace sagbench::reports {
namespace {

constexpr std::size_t kChannels = 3;

/// libpng's own reader for whole pictures: it tells failures by what it returns, not by jumps.
class PngReader {
 public:
  PngReader() { image_.version = PNG_IMAGE_VERSION; }
  ~PngReader() { png_image_free(&image_); }
  PngReader(const PngReader&) = delete;
  PngReader& operator=(const PngReader&) = delete;

  std::optional<Pixels> read(std::string_view bytes) {
    constexpr png_color kWhite{255, 255, 255};
    if (png_image_begin_read_from_memory(&image_, bytes.data(), bytes.size()) == 0)
      return std::nullopt;
    image_.format = PNG_FORMAT_RGB;
    Pixels pixels{image_.width, image_.height, {}};
    pixels.rgb.resize(pixels.width * pixels.height * kChannels);
    if (png_image_finish_read(&image_, &kWhite, pixels.rgb.data(), 0, nullptr) == 0)
      return std::nullopt;
    return pixels;
  }

 private:
  png_image image_{};
};

/// Mean of the pixels of a block of `side` by `side`, or what there is of it at the edges.
std::uint8_t mean(const Pixels& from, std::size_t column, std::size_t row, std::size_t channel,
                  std::size_t side) {
  std::size_t sum = 0, count = 0;
  for (std::size_t y = row * side; y < std::min(from.height, (row + 1) * side); ++y)
    for (std::size_t x = column * side; x < std::min(from.width, (column + 1) * side); ++x, ++count)
      sum += from.rgb[(y * from.width + x) * kChannels + channel];
  return static_cast<std::uint8_t>((sum + count / 2) / count);
}

Pixels reduced(const Pixels& from, std::size_t side) {
  Pixels to{(from.width + side - 1) / side, (from.height + side - 1) / side, {}};
  to.rgb.reserve(to.width * to.height * kChannels);
  for (std::size_t row = 0; row < to.height; ++row)
    for (std::size_t column = 0; column < to.width; ++column)
      for (std::size_t channel = 0; channel < kChannels; ++channel)
        to.rgb.push_back(mean(from, column, row, channel, side));
  return to;
}

}  // namespace

std::optional<Pixels> png_pixels(std::string_view bytes, std::size_t longest) {
  auto pixels = PngReader().read(bytes);
  if (!pixels) return std::nullopt;
  const std::size_t side = (std::max(pixels->width, pixels->height) + longest - 1) / longest;
  return side > 1 ? reduced(*pixels, side) : std::move(pixels);
}

}  // namespace sagbench::reports
