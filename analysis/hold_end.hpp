#pragma once
// What a held current came to: the voltage and current at its end.

#include <span>

#include "analysis/recording.hpp"
#include "analysis/resistance_budget.hpp"

namespace sagbench::analysis {

/// Means over the last tenth of a hold, about the tolerance of +/-0.1 s on 1 s, and the noise of
/// one reading.
struct HoldEnd {
  double voltage_v = 0.0;
  double current_a = 0.0;
  int readings = 0;
  double scatter_v = 0.0;
  double scatter_a = 0.0;
};

/// Precondition: `hold` is not empty.
HoldEnd end_of(std::span<const Sample> hold);

/// From the lower current to the higher. The longer hold tells the noise of both; the short one may
/// hold too few readings to.
TwoReadings between(const HoldEnd& low, const HoldEnd& high);

/// Past the last sample of the phase and step that samples[first] begins.
std::size_t end_of_phase(std::span<const Sample> samples, std::size_t first);

}  // namespace sagbench::analysis
