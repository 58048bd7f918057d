#pragma once
// What is in doubt about the charge and energy of a discharge. Gain and offset errors of an
// instrument are rectangular and stay the same over a run, so they do not average away.

#include "analysis/accuracy.hpp"
#include "analysis/charge_integral.hpp"
#include "analysis/discharge.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis {

/// In Ah. Gain and offset of the current; gain, offset, leads and noise of the voltage that decides
/// the end, each times the charge that a volt takes there; the instants of start and end; noise of
/// the current, which averages; the rate of the computer's clock; what flowed in gaps and what the
/// rests in them gave back, each gap alone.
UncertaintyBudget charge_budget(const BenchAccuracy& accuracy, const Discharge& discharge,
                                const Flow& total, double current_noise_a);

/// In Wh: the same inputs. An error of the voltage acts twice, on every product of voltage and
/// current and on where the discharge ends, and in the same direction.
UncertaintyBudget energy_budget(const BenchAccuracy& accuracy, const Discharge& discharge,
                                const Flow& total, double current_noise_a);

/// Noise of one reading of the current, which both take: standard deviation in A.
double current_noise_a(const Discharge& discharge);

}  // namespace sagbench::analysis
