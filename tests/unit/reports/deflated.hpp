#pragma once
// Bytes as zlib packs them (RFC 1950), by zlib itself.

#include <zlib.h>

#include <stdexcept>
#include <string>
#include <string_view>

namespace sagbench::reports::testing {

inline std::string deflated(std::string_view bytes) {
  const auto count = static_cast<uLong>(bytes.size());
  uLongf size = compressBound(count);
  std::string packed(size, '\0');
  if (compress(reinterpret_cast<Bytef*>(packed.data()), &size,
               reinterpret_cast<const Bytef*>(bytes.data()), count) != Z_OK)
    throw std::runtime_error("zlib does not pack");
  packed.resize(size);
  return packed;
}

}  // namespace sagbench::reports::testing
