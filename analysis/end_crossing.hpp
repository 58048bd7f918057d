#pragma once
// The instant at which a discharge reached its end voltage, and how well it is known.

#include <cstddef>
#include <optional>
#include <span>

#include "analysis/scatter.hpp"

namespace sagbench::analysis {

struct Crossing {
  double time_s = 0.0;
  double gap_s = 0.0;         // between the two readings it lies between
  double fall_v_per_s = 0.0;  // how fast the voltage fell there; 0 when it did not fall steadily
  double scatter_v = 0.0;     // noise of one voltage reading near the crossing
  double doubt_s = 0.0;  // half-width around time_s left open by readings that were lost or that
                         // only repeated an old one there; 0 where the gap between two that
                         // differ is no wider than those before it
};

/// The readings up to readings[last] by which the fall there is judged: the last 2 % of the time,
/// and five at least. Precondition: `last` is one of them.
std::span<const Reading> last_part(std::span<const Reading> readings, std::size_t last);

/// The end of a discharge that its procedure ended: the last reading above `end_v` and the one
/// after it, on the straight line between them. Absent when no reading is at or below, or none
/// above before it.
std::optional<Crossing> last_crossing(std::span<const Reading> readings, double end_v);

/// The same between the first reading at or below `end_v` and the one before: for data that run on
/// after the end.
std::optional<Crossing> first_crossing(std::span<const Reading> readings, double end_v);

}  // namespace sagbench::analysis
