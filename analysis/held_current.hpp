#pragma once
// Where a current came on after a rest and then stood.

#include <cstddef>
#include <vector>

#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// Samples [rest, first) rest, [first, last) stand under the current. At least one of each.
struct HeldCurrent {
  std::size_t rest = 0;
  std::size_t first = 0;
  std::size_t last = 0;
  double edge_s = 0.0;        // when the current came on
  double edge_doubt_s = 0.0;  // half-width; where the record does not say, the edge lies anywhere
                              // between the two samples about it
};

/// In order of time: currents of constant setpoint (not those of a radio's pattern), or, in data of
/// another logger, that stay within 5 % of their first reading. The rest is what of it lies within
/// the last 10 s before the edge (our choices). Ends where a protection board opens. Precondition:
/// the recording has no defect.
std::vector<HeldCurrent> held_currents(const Recording& recording);

}  // namespace sagbench::analysis
