#pragma once
// CW: a text on the key, again and again.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "bench/radio/morse.hpp"
#include "bench/radio/segment.hpp"
#include "bench/radio/sending.hpp"
#include "drivers/random.hpp"

namespace sagbench::bench {

/// Endless and deterministic by seed. Key down is level 1, up is level 0. A unit lasts 1.2 s
/// divided by the words a minute, so that PARIS with its gap, 50 units, is the word that is
/// counted.
///
/// Weighting w lengthens each mark by 2 w - 1 units and shortens each gap by as much: the speed
/// stays. Jitter lengthens and shortens each evenly within its share: speed and mean stay.
class Keyer {
 public:
  /// Precondition: every sign of the text has a code.
  Keyer(const Keying& keying, std::uint64_t seed);
  Segment next();
  /// The last segment was the gap behind a sign, or there was none yet.
  bool between_signs() const noexcept { return between_signs_; }

 private:
  Keying keying_;
  std::vector<Element> elements_;
  std::size_t place_ = 0;
  bool between_signs_ = true;
  drivers::Random random_;
};

/// Share of the time that the key is down.
double key_down_share(const Keying& keying);

}  // namespace sagbench::bench
