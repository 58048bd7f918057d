#pragma once
// How many branches a record holds.

#include <span>
#include <vector>

#include "analysis/circuit_record.hpp"
#include "analysis/circuit_solution.hpp"

namespace sagbench::analysis {

/// The record and what a fit to it needs to know.
struct CircuitTask {
  /// `full_ah` is the scale of charge. Precondition: there is a reading.
  CircuitTask(std::span<const PulseTrain> trains, double full_ah);

  CircuitRecord record;
  TauRange range;
  double largest_a = 0.0;

  /// What a reading may be missed by: kFollowedShare of the largest sag, kFollowed_v at least.
  double allowed_v(const CircuitSystem& system, const CircuitParameters& parameters) const;
};

/// A circuit of so many branches.
struct CircuitCandidate {
  std::size_t branches = 0;
  CircuitParameters parameters;
  bool found = false;  // the best ones of so many branches, as improve() says
};

/// Circuits of one, two and three branches fitted to few of the readings, the sound ones, those
/// that were found and the best of them first: by Schwarz's criterion, n ln(mean square) + p ln n
/// (G. Schwarz, Annals of Statistics 6 (1978) 461). What a wrong model leaves follows each other:
/// the mean square is that of what each residual adds to a first-order process, with the
/// autocorrelation that the nearest of all leaves.
std::vector<CircuitCandidate> circuit_candidates(const CircuitTask& task);

/// As an autocorrelation that leaves at least some readings independent: 0 to below 1.
double usable_lag(double lag_1) noexcept;

/// Without what else is known of them.
std::vector<double> voltages_of(const std::vector<CircuitSystem::Residual>& residuals);

}  // namespace sagbench::analysis
