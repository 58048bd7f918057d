#pragma once
// An equivalent circuit from the peaks: a series resistance and one or two RC branches.

#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// Fitted to the voltage of all peaks and recoveries of the peak-current steps. Within one visit to
/// a state of charge the open-circuit voltage is a straight line in the charge removed. Missing
/// when there are no peaks with a recovery, too few readings, or when no circuit follows them.
/// Precondition: the recording has no defect.
Finding<Circuit> fit_circuit(const Recording& recording);

}  // namespace sagbench::analysis
