#pragma once
// SSB: the envelope of a voice, as steps of a level.

#include <cstdint>

#include "bench/radio/segment.hpp"
#include "drivers/random.hpp"

namespace sagbench::bench {

/// Endless and deterministic by seed: phrases of syllables, and pauses.
///
/// Published:
/// - In a phrase the level's distribution is that of the magnitude of speech: Laplacian while there
///   is voice, so the magnitude is exponential (Gazor and Zhang, "Speech probability distribution",
///   IEEE Signal Processing Letters 10 (2003) 204: abstract seen). Many use the gamma density
///   instead (Paez and Glisson, IEEE Trans. Commun. COM-20 (1972) 225: title seen), which has more
///   of both very low and very high.
/// - Syllables: the envelope swings at 4.5 Hz; measured speech has its peak about 5 Hz (Ding et
/// al.,
///   "Temporal modulations in speech and music", Neurosci. Biobehav. Rev. 81 (2017) 181: abstract
///   seen), older work at 3 to 4 Hz (Houtgast and Steeneken 1985: from memory).
/// - Phrases last exponentially, as talkspurts do (Brady, Bell Syst. Tech. J. 48 (1969) 2445:
/// abstract
///   seen), 1.0 s in the mean (ITU-T P.59 has 1.004 s: from memory). Pauses last 0.2 s and an
///   exponential time more (Lee and Un, "A study of on-off characteristics of conversational
///   speech", IEEE Trans. Commun. 34 (1986) 630: abstract seen).
/// - The mean level over phrases and pauses is the mode's duty factor (analysis/radio.hpp).
///
/// Our own choice: a quarter of an over is pauses (the published pauses are those of a
/// conversation, where the other one speaks meanwhile); samples' distribution stands for that of
/// levels, though a mean over 50 ms varies less; above the peak the level is held there, as a
/// radio's level control does; processing raises each level to its square root (2 : 1 in decibels)
/// before that.
class Voice {
 public:
  /// `step_s`: how long a level stands, 0.01 to 0.2 s; longer ones cannot show a syllable.
  Voice(bool processed, double step_s, std::uint64_t seed);
  Segment next();

 private:
  void swing();
  double level() const;
  Segment pause();

  double step_s_;
  double exponent_;
  double scale_;
  double swing_ = 0.0, quadrature_ = 0.0;  // of a Gaussian process, each of variance 1
  std::int64_t steps_left_ = 0;            // of the phrase
  bool pause_next_ = false;
  drivers::Random random_;
};

}  // namespace sagbench::bench
