#pragma once
// Capacity and energy of a discharge, with their uncertainty.

#include <optional>

#include "analysis/discharge.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// The discharge that stands for the run's capacity: the first capacity step, else imported data,
/// that reached its end. Missing with the reason of the first one that did not. Precondition: the
/// recording has no defect.
Finding<Discharge> reference_discharge(const Recording& recording);

/// Precondition: `discharge` views `recording`.
Capacity capacity_of(const Recording& recording, const Discharge& discharge);

/// A pack below this share of its rating is due for replacement (IEEE 450 and 1188 practice,
/// written for lead-acid).
inline constexpr double kReplaceBelow = 0.8;

/// Share of its rating that a pack holds, where that is less than kReplaceBelow.
std::optional<double> too_little(const Pack& pack, const Finding<Capacity>& capacity) noexcept;

}  // namespace sagbench::analysis
