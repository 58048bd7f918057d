#include "bench/sending.hpp"

#include "bench/keyer.hpp"

namespace sagbench::bench {

double mean_level(const Sending& sending) {
  if (sending.mode == analysis::Mode::cw) return key_down_share(sending.keying);
  return analysis::duty_factor(sending.mode);
}

double mean_current_a(const analysis::Radio& radio, const Sending& sending) {
  const double level = mean_level(sending);
  const double transmit_a = level * radio.transmit_peak_a + (1.0 - level) * radio.transmit_idle_a;
  return sending.transmit_share * transmit_a + (1.0 - sending.transmit_share) * radio.receive_a;
}

}  // namespace sagbench::bench
