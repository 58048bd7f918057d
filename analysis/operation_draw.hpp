#pragma once
// What an operation draws from its pack, and what is lost on the way to the radio.

#include "analysis/operation.hpp"

namespace sagbench::analysis {

/// Power that warms the radio's cable, alone and as a share of what the radio takes from the pack.
struct CableLoss {
  double mean_w = 0.0, mean_share = 0.0;  // over the whole pattern: r.m.s. current squared
  double peak_w = 0.0, peak_share = 0.0;  // at the transmit peak
};

/// Currents at the pack, in A.
struct OperationDraw {
  double pack_v = 0.0;  // at which powers become currents
  double radio_mean_a = 0.0, radio_rms_a = 0.0, radio_peak_a = 0.0;
  double other_a = 0.0;     // other loads: steady
  double recharge_a = 0.0;  // as it counts: mean over the operation

  /// Radio and other loads.
  double drawn_a() const noexcept { return radio_mean_a + other_a; }
  /// Recharge taken off.
  double mean_a() const noexcept { return drawn_a() - recharge_a; }
  /// Of radio and other loads together.
  double rms_a() const noexcept;
  CableLoss cable(double cable_ohm) const noexcept;
};

/// At the pack voltage `pack_v` (above 0) throughout. A constant-power stage draws more from a pack
/// below the radio's nominal supply, and more still behind a cable; a linear one is not taken to
/// clip, which errs on the side of drawing too much. `recharged`: whether the operation's recharge
/// counts. Where the sun shines for some of the hours, no more counts than is drawn in these: the
/// pack may have no room for the rest.
OperationDraw draw_of(const Operation& operation, double pack_v, bool recharged);

}  // namespace sagbench::analysis
