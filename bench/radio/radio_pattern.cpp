#include "bench/radio/radio_pattern.hpp"

#include <algorithm>

namespace sagbench::bench {
namespace {

using analysis::Mode;

constexpr double kNothingButReception_s = 60.0;  // a piece of it, where the share is zero
constexpr double kCarrier_s = 1.0;               // a piece of it
constexpr double kShortest_s = 1e-3;             // less than this of an over or a level is let go

struct Slot {
  double length_s;
  double on_air_s;
};

Slot slot_of(Mode mode) {
  return mode == Mode::ft8 ? Slot{15.0, 79 * 0.160} : Slot{7.5, 105 * 0.048};
}

}  // namespace

RadioPattern::RadioPattern(const Sending& sending, std::uint64_t seed)
    : mode_(sending.mode),
      share_(std::clamp(sending.transmit_share, 0.0, 1.0)),
      overs_(sending.rhythm, share_, seed),
      keyer_(sending.keying, seed),
      voice_(sending.mode == Mode::ssb_processed, sending.voice_step_s, seed) {}

Segment RadioPattern::next_of_slot() {
  const Slot slot = slot_of(mode_);
  if (receive_next_) {
    receive_next_ = false;
    return {slot.length_s - slot.on_air_s, false, 0.0};
  }
  slots_owed_ += share_;
  if (slots_owed_ < 1.0 - 1e-9) return {slot.length_s, false, 0.0};
  slots_owed_ -= 1.0;
  receive_next_ = true;
  return {slot.on_air_s, true, 1.0};
}

bool RadioPattern::over_ended() const noexcept {
  return over_left_s_ < kShortest_s && (mode_ != Mode::cw || keyer_.between_signs());
}

/// The next piece of an over, not cut within a sign of CW.
Segment RadioPattern::sent() {
  if (mode_ == Mode::cw) return keyer_.next();
  if (mode_ != Mode::ssb && mode_ != Mode::ssb_processed)
    return {std::min(kCarrier_s, over_left_s_), true, 1.0};
  if (voiced_.seconds < kShortest_s) voiced_ = voice_.next();
  Segment segment = voiced_;
  segment.seconds = std::min(segment.seconds, over_left_s_);
  voiced_.seconds -= segment.seconds;
  return segment;
}

Segment RadioPattern::next() {
  if (mode_ == Mode::ft8 || mode_ == Mode::ft4) return next_of_slot();
  if (share_ <= 0.0) return {kNothingButReception_s, false, 0.0};
  if (receive_next_) {
    receive_next_ = false;
    const double reception_s = overs_.reception_s();
    if (reception_s > 0.0) return {reception_s, false, 0.0};
  }
  if (over_ended()) over_left_s_ = overs_.over_s();
  const Segment segment = sent();
  over_left_s_ -= segment.seconds;
  overs_.sent(segment.seconds);
  receive_next_ = over_ended();
  return segment;
}

}  // namespace sagbench::bench
