#pragma once
// How far the pack and its bench are from each limit that the supervisor would switch off at. For
// whoever watches; the supervisor decides without it.

#include <string_view>
#include <vector>

#include "bench/safety/limits.hpp"
#include "bench/safety/safety_checks.hpp"
#include "bench/safety/snapshot.hpp"

namespace sagbench::bench {

struct LimitRoom {
  CheckId check;
  double value;
  double limit;
  std::string_view unit;  // "V", "A", "W", "°C", "Ah", "s"
  /// Share of the way to the limit that is left: 1 far away, 0 at it or beyond. The way begins at
  /// nothing (current, power, charge, time), at the nominal voltage, or midway between the lowest
  /// and the highest temperature.
  double room;
};

/// Of the checks that compare one reading with a fixed limit, those whose readings are there; the
/// nearest first. Of cells the worst one counts. What builds up over several readings (heating,
/// resistance, a frozen reading) has no such distance and is left out.
std::vector<LimitRoom> limit_rooms(const Snapshot& now, const Limits& limits);

}  // namespace sagbench::bench
