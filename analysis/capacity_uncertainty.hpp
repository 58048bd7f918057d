#pragma once
// What is in doubt about the charge and energy of a discharge (JCGM 100:2008, 5.1: combined in
// quadrature). Gain and offset errors of an instrument are rectangular and stay the same over a
// run, so they do not average away.

#include "analysis/accuracy.hpp"
#include "analysis/charge_integral.hpp"
#include "analysis/discharge.hpp"

namespace sagbench::analysis {

/// Standard uncertainty in Ah. Terms: gain and offset of the current; error and noise of the
/// voltage at the end, times the charge that a volt takes there; the instants of start and end;
/// noise of the current, which averages; what flowed in gaps, each of which stands alone.
double charge_uncertainty_ah(const BenchAccuracy& accuracy, const Discharge& discharge,
                             const Flow& total);

/// Standard uncertainty in Wh: the same doubts about charge at the voltage they stand at, and gain
/// and offset of the voltage over the whole discharge.
double energy_uncertainty_wh(const BenchAccuracy& accuracy, const Discharge& discharge,
                             const Flow& total);

}  // namespace sagbench::analysis
