#pragma once
// Where the voltage of a resting pack is heading.

#include <optional>
#include <span>

#include "analysis/scatter.hpp"

namespace sagbench::analysis {

struct RelaxedVoltage {
  double voltage_v = 0.0;
  double standard_u_v = 0.0;  // of the extrapolation and of the readings' noise, not of their scale
};

/// What is left when everything has relaxed, from the recovery as far as it was recorded. `rest`:
/// readings without current, in order of time, at least one; the current ended at `began_s`, or
/// before the first of them where that is not known.
///
/// One or two exponentials are fitted for many time constants, the slowest from a tenth to three
/// times the rest (our choice: a slower one looks like a straight line). Each answer counts by its
/// likelihood, so what the rest cannot tell apart widens the uncertainty. Readings are averaged in
/// twenty stretches of even width in the logarithm of time, the first thirtieth of the rest left
/// out; each is taken to be missed by 2 % of the recovery at least, as real cells are no sum of two
/// exponentials (our choice).
///
/// What is slower than the rest does not show in it. The recovery may die out so, or go on until
/// `relaxed_after_s` as fast over the logarithm of time as it went last: all between is equally
/// likely (our choice), and the middle is taken.
///
/// Nothing where fewer than six stretches hold a reading.
std::optional<RelaxedVoltage> relaxed_voltage(std::span<const Reading> rest, double began_s,
                                              double relaxed_after_s);

}  // namespace sagbench::analysis
