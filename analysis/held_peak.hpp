#pragma once
// The held peaks of a run's peak-current steps.

#include <optional>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// A peak and what the fits need beside it.
struct HeldPeak {
  Peak peak;
  int step = 0;
  int visit = 0;  // peaks of one visit to a state of charge share it; a travelling discharge lies
                  // between two
  double before_a = 0.0;      // current just before the edge
  double noise_v = 0.0;       // scatter of the readings under the peak
  bool board_opened = false;  // let go because the protection board opened
  bool pack_refused = false;  // let go because of that, or of an end-of-discharge voltage
  std::optional<double> temperature_c;
};

/// In order of time. A peak whose current never came on is left out unless the board opened in it.
/// Precondition: the recording has no defect.
std::vector<HeldPeak> held_peaks(const Recording& recording, const ChargeState& charge);

}  // namespace sagbench::analysis
