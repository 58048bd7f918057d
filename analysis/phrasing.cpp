#include "analysis/phrasing.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <system_error>

namespace sagbench::analysis {

std::string rounded(double value, int decimals) {
  const double unit = std::pow(10.0, -decimals);
  if (std::abs(value) < unit / 2.0) value = 0.0;
  std::array<char, 400> text{};  // the longest double has 309 digits before its point
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value,
                                 std::chars_format::fixed, decimals);
  if (end.ec != std::errc()) return "?";
  return {text.data(), end.ptr};
}

std::string percent(double share) {
  return rounded(share * 100.0, 0) + " %";
}

}  // namespace sagbench::analysis
