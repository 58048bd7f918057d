#include "bench/sending.hpp"

namespace sagbench::bench {

double mean_current_a(const analysis::Radio& radio, const Sending& sending) noexcept {
  return analysis::mean_current_a(radio, sending.mode, sending.transmit_share);
}

}  // namespace sagbench::bench
