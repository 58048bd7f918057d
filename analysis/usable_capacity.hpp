#pragma once
// The charge a radio gets out of a full pack before it leaves the air.

#include <optional>
#include <span>

#include "analysis/give_up.hpp"
#include "analysis/sag_line.hpp"
#include "analysis/supply_curve.hpp"

namespace sagbench::analysis {

struct UsableCapacity {
  double charge_ah = 0.0;
  bool is_minimum = false;  // no test drove the radio off the air: at least so much
};

/// Where a transmit step gave up or a curve crosses supply_min, whichever came first. Without that,
/// or where the pack refused the radio's peak at a higher charge, what was removed where the
/// deepest test before still found the supply sufficient, as a minimum. Absent when nothing was
/// tested, or when the supply was too low from the first test on.
std::optional<UsableCapacity> usable_capacity(const std::optional<GiveUp>& gave_up,
                                              std::span<const SupplyCurve> curves,
                                              std::span<const SagLine> lines, const Radio& radio,
                                              double reference_ah);

}  // namespace sagbench::analysis
