#include "reports/sha256.hpp"

#include <fmt/format.h>

namespace sagbench::reports {

std::string hex(const Sha256::Digest& digest) {
  std::string digits;
  for (const std::uint8_t byte : digest) digits += fmt::format("{:02x}", byte);
  return digits;
}

std::string hash_of(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  return hex(hash.finish());
}

}  // namespace sagbench::reports
