#include "bench/live/token.hpp"

#include <array>

#include "bench/live/system_random.hpp"

namespace sagbench::live {

std::string base32(std::string_view bytes) {
  constexpr std::string_view kDigits = "abcdefghijklmnopqrstuvwxyz234567";
  constexpr unsigned kBits = 5, kDigitMask = 31;
  std::string text;
  unsigned waiting = 0, bits = 0;
  for (const char byte : bytes) {
    waiting = (waiting << 8U) | static_cast<unsigned char>(byte);
    for (bits += 8; bits >= kBits; bits -= kBits)
      text += kDigits[(waiting >> (bits - kBits)) & kDigitMask];
    waiting &= (1U << bits) - 1;
  }
  if (bits > 0) text += kDigits[(waiting << (kBits - bits)) & kDigitMask];
  return text;
}

std::string make_token() {
  std::array<char, 16> random{};
  fill_with_random(random);
  return base32({random.data(), random.size()});
}

bool same_token(std::string_view given, std::string_view token) {
  return !token.empty() && given.size() == token.size() && same_bytes(given, token);
}

}  // namespace sagbench::live
