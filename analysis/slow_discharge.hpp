#pragma once
// The open-circuit voltage from a slow discharge.

#include <vector>

#include "analysis/charge_circuit.hpp"
#include "analysis/finding.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

class ChargeState;

struct SlowPoint {
  double removed_ah = 0.0;  // since full, and what the current left behind (see Lag)
  double voltage_v = 0.0;   // with the sag added
  double sag_v = 0.0;
  double own_u_v = 0.0;  // standard, without the voltmeter's gain and offset
};

struct SlowDischarge {
  double current_a = 0.0;  // mean
  double rate_it = 0.0;
  bool sag_by_circuit = false;    // else by how far the voltage fell when the current came on
  std::vector<SlowPoint> points;  // in order of the charge removed
};

/// Up to this rate a discharge counts as slow (our choice): the standards' 0.2 It does. What is
/// left in doubt grows with the rate.
inline constexpr double kSlow_it = 0.25;
/// Lead-acid leaves far more behind at a higher rate; its twenty-hour rate is slow (our choice).
inline constexpr double kSlowLeadAcid_it = 0.06;

/// The run's reference discharge in a hundred stretches, each with the sag of its current added: by
/// the circuit over charge where there is one, else by the fall from the rest before to the first
/// reading under current. In doubt are, each rectangular (our choices): half of a circuit's sag,
/// which knows nothing slower than the rests it was fitted to; the whole of the other, since
/// resistance grows towards the end; leads that are not sensed; and the charge left behind (Lag),
/// times the curve's slope. Missing, with why, where the run has no such discharge, it was faster,
/// or its sag is not known. Precondition: the recording has no defect.
Finding<SlowDischarge> slow_discharge(const Recording& recording, const ChargeState& charge,
                                      const Finding<ChargeCircuit>& circuit);

}  // namespace sagbench::analysis
