#pragma once
// Which changes of a radio's current are worth a message.

#include <cmath>

namespace sagbench::bench {

/// Half a percent and more of the current that is wanted: less is nothing to a pack, and a steady
/// current lets the supervisor compare readings (our choice).
inline bool matters(double wanted_a, double drawn_a) {
  constexpr double kTooSmall = 0.005;
  return std::abs(wanted_a - drawn_a) > kTooSmall * wanted_a;
}

}  // namespace sagbench::bench
