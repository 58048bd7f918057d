#include "bench/radio/sending.hpp"

#include "bench/radio/keyer.hpp"

namespace sagbench::bench {

double mean_level(const Sending& sending) {
  if (sending.mode == analysis::Mode::cw) return key_down_share(sending.keying);
  return analysis::duty_factor(sending.mode);
}

double mean_current_a(const analysis::Radio& radio, const Sending& sending) {
  return analysis::mean_current_a(radio, mean_level(sending), sending.transmit_share);
}

}  // namespace sagbench::bench
