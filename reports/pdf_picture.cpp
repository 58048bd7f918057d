#include "reports/pdf_picture.hpp"

#include <string>

#include "reports/png_pixels.hpp"

namespace sagbench::reports {
namespace {

// At the width of a page that is finer than most printers put colours.
constexpr std::size_t kLongestSide = 2000;
constexpr int kFirstOnItsSide = 5;

const HPDF_BYTE* as_bytes(const char* data) {
  return reinterpret_cast<const HPDF_BYTE*>(data);
}

}  // namespace

HPDF_Image load_image(HPDF_Doc document, const Picture& picture, std::string_view bytes) {
  if (picture.media_type == "image/jpeg") {
    const std::string bare = bare_jpeg(bytes);
    return HPDF_LoadJpegImageFromMem(document, as_bytes(bare.data()),
                                     static_cast<HPDF_UINT>(bare.size()));
  }
  const auto pixels = png_pixels(bytes, kLongestSide);
  if (!pixels) return nullptr;
  return HPDF_LoadRawImageFromMem(document, pixels->rgb.data(),
                                  static_cast<HPDF_UINT>(pixels->width),
                                  static_cast<HPDF_UINT>(pixels->height), HPDF_CS_DEVICE_RGB, 8);
}

Rect upright(const Picture& picture) {
  const auto width = static_cast<double>(picture.width);
  const auto height = static_cast<double>(picture.height);
  return picture.orientation < kFirstOnItsSide ? Rect{0, 0, width, height}
                                               : Rect{0, 0, height, width};
}

std::array<double, 6> placed(const Rect& box, int orientation) {
  const double w = box.width, h = box.height;
  const double left = box.x, right = box.x + w, low = box.y, high = box.y + h;
  switch (orientation) {
    case 2:
      return {-w, 0, 0, h, right, low};
    case 3:
      return {-w, 0, 0, -h, right, high};
    case 4:
      return {w, 0, 0, -h, left, high};
    case 5:
      return {0, -h, -w, 0, right, high};
    case 6:
      return {0, -h, w, 0, left, high};
    case 7:
      return {0, h, w, 0, left, low};
    case 8:
      return {0, h, -w, 0, right, low};
    default:
      return {w, 0, 0, h, left, low};
  }
}

}  // namespace sagbench::reports
