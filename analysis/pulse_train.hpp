#pragma once
// What a circuit is fitted to: current and voltage of all pulses at one state of charge.

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

#include "analysis/charge_state.hpp"
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
  double removed_ah = 0.0;  // since the train's first reading; in whole_record() since full
};

/// Begins at rest, with the last reading before the first pulse.
using PulseTrain = std::vector<PulseReading>;

/// One train a visit to a state of charge in the peak-current steps, in order of time. A train ends
/// where the pack travels on or its protection board opens; trains without a held peak are left
/// out. Precondition: the recording has no defect.
std::vector<PulseTrain> pulse_trains(const Recording& recording);

/// Everything that was read while something was behind the terminals, in order of time. A train
/// ends where what flowed then is not known (a recharge, a gap, an open protection board); the pack
/// is taken to have come to rest before the next. Precondition: the recording has no defect.
std::vector<PulseTrain> whole_record(const Recording& recording, const ChargeState& charge);

/// The range in which a time constant can be told from such data. Whatever relaxes before the first
/// reading after an edge of current looks like a plain resistance; a branch must be slower than
/// twice that. It cannot be slower than the longest stretch without an edge in which no more than
/// `moved_ah` is removed: with more, it cannot be told from the open-circuit voltage. Both 0: no
/// edge.
struct TauRange {
  double shortest_s = 0.0;
  double longest_s = 0.0;
};
TauRange tau_range(std::span<const PulseTrain> trains,
                   double moved_ah = std::numeric_limits<double>::infinity());

/// So many time constants spread over the logarithm of the range.
std::vector<double> spread_over(const TauRange& range, std::size_t count);

/// A change of current by more than this share of the largest, `edge_a`, is an edge where the
/// record does not tell of edges.
inline constexpr double kEdgeShare = 0.02;
/// So long after an edge a reading belongs to its pulse.
inline constexpr double kSoon_s = 10.0;
bool is_edge(const PulseReading& reading, double edge_a) noexcept;

/// The largest current of any reading, A.
double largest_current_a(std::span<const PulseTrain> trains) noexcept;

/// What a circuit of one branch of 1 ohm and `tau_s` would drop at each reading of a train that
/// begins at rest.
std::vector<double> branch_drop(const PulseTrain& train, double tau_s);

}  // namespace sagbench::analysis
