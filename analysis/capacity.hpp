#pragma once
// Capacity and energy of a discharge, with their uncertainty.

#include "analysis/discharge.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// The discharge that stands for the run's capacity: the first capacity step, else imported data,
/// that reached its end. Missing with the reason of the first one that did not. Precondition: the
/// recording has no defect.
Finding<Discharge> reference_discharge(const Recording& recording);

/// Precondition: `discharge` views `recording`.
Capacity capacity_of(const Recording& recording, const Discharge& discharge);

}  // namespace sagbench::analysis
