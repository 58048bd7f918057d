#pragma once
// What a circuit is fitted to: current and voltage of all pulses at one state of charge.

#include <vector>

#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// The current since the reading before: `before_a` up to the edge, then `current_a`.
struct PulseReading {
  double time_s = 0.0;
  double before_s = 0.0;  // how long before_a still ran
  double after_s = 0.0;   // how long current_a has run since the edge or the reading before
  double before_a = 0.0;
  double current_a = 0.0;
  double voltage_v = 0.0;
  double removed_ah = 0.0;  // since the train's first reading
};

/// Begins at rest, with the last reading before the first pulse.
using PulseTrain = std::vector<PulseReading>;

/// One train a visit to a state of charge in the peak-current steps, in order of time. A train ends
/// where the pack travels on or its protection board opens; trains without a held peak are left
/// out. Precondition: the recording has no defect.
std::vector<PulseTrain> pulse_trains(const Recording& recording);

/// What a circuit of one branch of 1 ohm and `tau_s` would drop at each reading of a train that
/// begins at rest.
std::vector<double> branch_drop(const PulseTrain& train, double tau_s);

}  // namespace sagbench::analysis
