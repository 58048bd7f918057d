#pragma once
// What an operator sends, and in which rhythm, as a plan says it.

#include <optional>
#include <string>

#include "analysis/radio.hpp"

namespace sagbench::bench {

/// How transmitting and receiving alternate. Over a long time each transmits the same share.
enum class Rhythm {
  share,    // overs of one length, one a minute
  qso,      // a conversation: call, reports, chat, farewell; overs from some seconds to a minute
  contest,  // a run of short exchanges
};

/// Keying of CW; of no meaning to the other modes.
struct Keying {
  std::string text;  // sent again and again; every sign has a code. Empty: the standard word PARIS,
                     // with pauses that bring it to the published duty
  double words_per_minute = 12.0;
  double weighting = 0.5;  // share of a dot in dot and gap: 0.5 as the code has it, more is heavier
  double jitter = 0.0;     // each mark and gap is longer or shorter by up to this share, evenly
};

struct Sending {
  analysis::Mode mode = analysis::Mode::ssb;
  double transmit_share = 0.0;  // 0..1 of the time; of FT8 and FT4, of the slots
  Rhythm rhythm = Rhythm::share;
  Keying keying = {};
  double voice_step_s = 0.05;  // SSB: how long the envelope's level stands
};

/// Mean level of `sending` while it transmits, where 0 is the transmit idle current and 1 the peak.
/// Of CW, of its text as it is keyed; of all other modes the published duty factor (of FT8 and FT4
/// of a slot that is used). Precondition: every sign of the text has a code.
double mean_level(const Sending& sending);

/// Mean supply current in A at the radio, as analysis::mean_current_a() has it, with the mean level
/// of what is sent instead of the mode's.
double mean_current_a(const analysis::Radio& radio, const Sending& sending);

}  // namespace sagbench::bench
