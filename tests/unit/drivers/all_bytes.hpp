#pragma once
#include <string>

namespace sagbench::drivers::test {

/// What a line must not change.
inline const std::string kAllBytes = [] {
  std::string bytes;
  for (int i = 0; i < 256; ++i) bytes += static_cast<char>(i);
  return bytes;
}();

}  // namespace sagbench::drivers::test
