#pragma once
// The keys of a transmit step that say what is sent.

#include "bench/files/json_reader.hpp"
#include "bench/radio/sending.hpp"

namespace sagbench::bench {

/// Reads mode, transmit_share, rhythm, text, words_per_minute, weighting, jitter and voice_step_s.
/// Throws InputError, also for a key that the mode has no use for and for a sign without code.
Sending sending_from(ObjectReader& reader);

}  // namespace sagbench::bench
