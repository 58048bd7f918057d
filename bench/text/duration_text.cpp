#include "bench/text/duration_text.hpp"

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

std::string rough_duration_text(double seconds) {
  constexpr double kMinute = 60.0;
  const double minutes = std::round(seconds / kMinute);
  if (minutes < 2.0) return duration_text(seconds);
  return minutes < 60.0 ? fmt::format("{:.0f} min", minutes) : duration_text(minutes * kMinute);
}

}  // namespace sagbench::bench
