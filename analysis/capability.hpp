#pragma once
// The largest peak that a pack sustains, against state of charge and how long it is held, by the
// circuit fitted to its record.

#include <vector>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// At 90, 70, 50, 30 and 10 % of charge, as far as the circuit's resistances were seen there, held
/// for 0.1, 1, 10 and 60 s, as far as the circuit was watched for so long. The current is where
///   source(q + I t) - I (R0 + sum of Rk (1 - exp(-t / tau_k)) + cable) = supply_min
/// capped by pack, fuse, load and kLargestExtrapolation times the largest current of the record.
/// The uncertainty of that and of the supply: the circuit's own with its correlations, what the
/// circuit misses the pulses by, and the instruments' (JCGM 100:2008, 5.2.2); none where a cap
/// holds. `full_ah` is the scale of charge, positive.
std::vector<SustainedPeak> capability(const Recording& recording, const ChargeCircuit& circuit,
                                      double full_ah);

}  // namespace sagbench::analysis
