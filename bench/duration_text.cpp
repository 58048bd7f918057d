#include "bench/duration_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace sagbench::bench {

std::string duration_text(double seconds) {
  const auto whole = static_cast<long>(std::max(0.0, std::round(seconds)));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {:02} s", whole / 60, whole % 60);
  return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
}

}  // namespace sagbench::bench
