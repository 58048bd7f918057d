#pragma once
// What an operator sends, as a sequence of segments: how long, transmitting or not, and how hard.

#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "bench/sending.hpp"

namespace sagbench::bench {

struct Segment {
  double seconds = 0.0;
  bool transmitting = false;
  double level = 0.0;  // 0 = transmit idle current, 1 = transmit peak current
};

/// Endless and deterministic by seed. CW: keyed text at 12 words a minute, element timing of ITU-R
/// M.1677-1 (dash 3, gaps 1, 3, 7 units), unit 1.2 s / wpm. SSB: syllables and pauses whose mean
/// level is the published duty factor; their distribution is our own choice (no source). FT8 and
/// FT4: slots of 15 s and 7.5 s with 12.64 s and 5.04 s on the air (QEX, July/August 2020). FM, AM,
/// RTTY: a carrier.
class RadioPattern {
 public:
  RadioPattern(const Sending& sending, std::uint64_t seed);
  Segment next();

 private:
  Segment keyed();
  Segment syllable();
  Segment next_of_slot();
  Segment next_of_over();
  double uniform() noexcept;

  analysis::Mode mode_;
  double share_;
  std::mt19937_64 random_;
  std::vector<Segment> text_;  // CW, ready keyed
  std::size_t text_place_ = 0;
  double over_left_s_ = 0.0;  // of the current over
  bool receive_next_ = false;
  double slots_owed_ = 0.0;  // transmit slots owed by the share
};

/// The keying of `text`: key down = level 1, gaps = level 0, each letter's and word's gap included.
/// Unknown signs are left out.
std::vector<Segment> key_text(const std::string& text, double words_a_minute);

}  // namespace sagbench::bench
