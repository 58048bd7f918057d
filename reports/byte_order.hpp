#pragma once
// Numbers in the bytes of files. Precondition everywhere: the bytes, or room for
// them, are there.

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace sagbench::reports {

inline std::uint8_t byte_at(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint8_t>(bytes[at]);
}

inline std::uint16_t highest_first_16(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint16_t>(byte_at(bytes, at) << 8U | byte_at(bytes, at + 1));
}

inline std::uint16_t lowest_first_16(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint16_t>(byte_at(bytes, at + 1) << 8U | byte_at(bytes, at));
}

inline std::uint32_t highest_first_32(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint32_t>(highest_first_16(bytes, at)) << 16U |
         highest_first_16(bytes, at + 2);
}

inline std::uint32_t lowest_first_32(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint32_t>(lowest_first_16(bytes, at + 2)) << 16U |
         lowest_first_16(bytes, at);
}

/// Eight bytes.
inline void put_highest_first_64(std::uint64_t value, char* to) {
  for (unsigned at = 0; at < sizeof value; ++at)
    to[at] = static_cast<char>(value >> (56U - 8U * at) & 0xFFU);
}

}  // namespace sagbench::reports
