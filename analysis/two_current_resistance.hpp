#pragma once
// D.c. resistance by two currents: R = (U1 - U2) / (I2 - I1) with U1 at the end of 10 s at 0.2 It
// and U2 at the end of 1 s at 1.0 It (IEC 61960-3:2017, d.c. internal resistance; times and
// currents from memory).

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// From phase low_current followed by high_current. Of several pairs the one nearest half charge,
/// with the repeatability of those at the same charge.
/// Uncertainty: the instruments' offsets cancel in the differences, their gains scale them; noise
/// does not cancel. Missing when there is no such pair, or its currents do not differ.
/// Precondition: the recording has no defect.
Finding<Resistance> two_current_resistance(const Recording& recording, const ChargeState& charge);

}  // namespace sagbench::analysis
