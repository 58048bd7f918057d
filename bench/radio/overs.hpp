#pragma once
// How long an operator transmits, and how long receives.

#include <cstddef>
#include <cstdint>

#include "bench/radio/sending.hpp"
#include "drivers/random.hpp"

namespace sagbench::bench {

/// Overs and receptions in turn, endless and deterministic by seed. What is owed of the transmit
/// share is always made good by the next receptions: the share of n overs is right to within one
/// reception. The lengths are common practice, with no source.
class Overs {
 public:
  /// Precondition: 0 < share <= 1.
  Overs(Rhythm rhythm, double share, std::uint64_t seed);
  /// How long the next over is to be, above zero.
  double over_s();
  /// An over was as long as this.
  void sent(double seconds) noexcept;
  /// How long to receive now; zero only where the share is 1.
  double reception_s();

 private:
  Rhythm rhythm_;
  double share_;
  double owed_s_ = 0.0;  // of reception
  std::size_t stage_ = 0;
  drivers::Random random_;
};

}  // namespace sagbench::bench
