#pragma once
// What an operator sends, as a plan says it.

#include "analysis/radio.hpp"

namespace sagbench::bench {

struct Sending {
  analysis::Mode mode = analysis::Mode::ssb;
  double transmit_share = 0.0;  // 0..1 of the time; of FT8 and FT4, of the slots
};

/// Mean supply current in A at the radio while it is used so.
double mean_current_a(const analysis::Radio& radio, const Sending& sending) noexcept;

}  // namespace sagbench::bench
