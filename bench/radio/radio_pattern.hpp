#pragma once
// What an operator sends, as a sequence of segments: how long, transmitting or not, and how hard.

#include <cstdint>

#include "bench/radio/keyer.hpp"
#include "bench/radio/overs.hpp"
#include "bench/radio/segment.hpp"
#include "bench/radio/sending.hpp"
#include "bench/radio/voice.hpp"

namespace sagbench::bench {

/// Endless and deterministic by seed; begins with an over. The rhythm of overs depends on seed,
/// rhythm and share alone, except that CW ends its overs behind a whole sign.
/// CW: see Keyer. SSB: see Voice, which goes on where the last over broke off. FM, AM, RTTY: a
/// carrier. FT8 and FT4: slots of 15 s and 7.5 s with 12.64 s (79 symbols of 0.160 s) and 5.04 s
/// (105 of 0.048 s) on the air ("The FT4 and FT8 Communication Protocols", QEX, July/August 2020);
/// the share of slots is kept by evenly leaving some out, whatever the rhythm.
class RadioPattern {
 public:
  /// Precondition: every sign of a CW text has a code.
  RadioPattern(const Sending& sending, std::uint64_t seed);
  Segment next();

 private:
  Segment next_of_slot();
  Segment sent();
  bool over_ended() const noexcept;

  analysis::Mode mode_;
  double share_;
  Overs overs_;
  Keyer keyer_;
  Voice voice_;
  Segment voiced_;            // what of the voice is still to be sent
  double over_left_s_ = 0.0;  // of the current over
  bool receive_next_ = false;
  double slots_owed_ = 0.0;  // transmit slots owed by the share
};

}  // namespace sagbench::bench
