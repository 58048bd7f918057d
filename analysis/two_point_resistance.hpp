#pragma once
// Internal resistance and short-circuit current of a lead-acid pack by two points of its discharge
// line: U1 after 20 s at I1 = 4 I10, a short break without recharge, U2 after 5 s at I2 = 20 I10;
// R = (U1 - U2) / (I2 - I1) and Isc = (U1 I2 - U2 I1) / (U1 - U2) (IEC 60896-21:2004, 6.3;
// currents, times and formula from memory).

#include "analysis/charge_state.hpp"
#include "analysis/resistances.hpp"

namespace sagbench::analysis {

/// From phase low_current, a break of at most 6 min, then high_current within one step; each held
/// for nine tenths of its time at least; of several pairs the first, with the repeatability of
/// those at the same charge. In doubt beside what is of any resistance: the offset of the voltage,
/// which moves both other figures, and that of the current. Missing for other chemistries, without
/// such a pair, where the higher current is less than twice the lower, and where the voltage falls
/// by no more than its noise. Precondition: the recording has no defect.
Finding<TwoPointResistance> two_point_resistance(const Recording& recording,
                                                 const ChargeState& charge);

}  // namespace sagbench::analysis
