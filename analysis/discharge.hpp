#pragma once
// One discharge, from switch-on to its end: where it starts, where it ends, and how sharply both
// are known.

#include <span>

#include "analysis/charge_integral.hpp"
#include "analysis/finding.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// Views into a recording, which must outlive it.
struct Discharge {
  std::span<const Sample>
      samples;  // first and last enclose [start_s, end_s], as far as samples were taken
  std::span<const Gap> gaps = {};  // of the whole run
  double start_s = 0.0;
  double end_s = 0.0;
  double start_doubt_s = 0.0;  // half-width of the interval in which the start lies
  double end_doubt_s = 0.0;    // the same for the end, beyond what voltage errors do
  double fall_v_per_s = 0.0;   // fall of the voltage that ended it; 0 when voltage did not
  double scatter_v = 0.0;      // noise of one reading of that voltage
  double deciding_v = 0.0;     // the voltage that ended it: the pack's or the weakest cell's
  double to_voltage_v = 0.0;   // pack voltage at the end
  StepEnd ended_by = StepEnd::completed;
  int step = 0;
};

/// What flowed from start to end. Where the end lies past the last sample, its current is taken to
/// hold until then.
Flow flow_of(const Discharge& discharge);

/// The steady discharge of a capacity step. Precondition: the recording has no defect.
/// It runs from input-on to where the voltage that Step::end names crossed its limit, or to the
/// opening of the protection board. Missing when the step was not run, did not get there, or the
/// pack was not full at its start.
Finding<Discharge> capacity_discharge(const Recording& recording, int step);

}  // namespace sagbench::analysis
