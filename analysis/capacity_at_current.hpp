#pragma once
// A pack's capacity at another mean current, from its runs at several.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/peukert.hpp"

namespace sagbench::analysis {

/// The whole discharge of a run of `pack`; absent without one.
std::optional<RatePoint> whole_discharge(const Finding<Capacity>& capacity, const Pack& pack);

struct CapacityAtCurrent {
  Finding<Measured> charge_ah;
  std::vector<std::string> cautions;  // of the law, where a figure was had
};

/// By Peukert's law (see peukert()) through the run's discharge and those of `others` that ended at
/// the same voltage (see ended_alike()) and, as far as the run's temperature is known, within 5 K
/// of it.
CapacityAtCurrent capacity_at_current(const Figures& figures, std::span<const RatePoint> others,
                                      const Pack& pack, double current_a);

}  // namespace sagbench::analysis
