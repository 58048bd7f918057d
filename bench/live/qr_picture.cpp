#include "bench/live/qr_picture.hpp"

#include <qrencode.h>

#include <memory>

namespace sagbench::live {
namespace {

constexpr int kQuiet = 4;  // modules on each side, as the standard asks
constexpr const char* kBlackOnWhite = "\x1b[38;5;16;48;5;231m";
constexpr const char* kUsual = "\x1b[0m";

bool is_dark(const QRcode& code, int x, int y) {
  const bool inside = x >= 0 && y >= 0 && x < code.width && y < code.width;
  return inside && (code.data[y * code.width + x] & 1) != 0;
}

const char* half_blocks(bool upper, bool lower) {
  if (upper) return lower ? "\u2588" : "\u2580";
  return lower ? "\u2584" : " ";
}

}  // namespace

std::string qr_picture(const std::string& text) {
  const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(
      QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_L), QRcode_free);
  if (!code) return "";
  std::string picture;
  for (int y = -kQuiet; y < code->width + kQuiet; y += 2) {
    picture += kBlackOnWhite;
    for (int x = -kQuiet; x < code->width + kQuiet; ++x)
      picture += half_blocks(is_dark(*code, x, y), is_dark(*code, x, y + 1));
    picture += std::string(kUsual) + "\n";
  }
  return picture;
}

}  // namespace sagbench::live
