#pragma once
// Text whose letters' case does not count.

#include <cctype>
#include <string>
#include <string_view>

namespace sagbench::bench {

/// The letters of ASCII made small.
inline std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return result;
}

}  // namespace sagbench::bench
