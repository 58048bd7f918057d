#pragma once
// The limits of one run: the tightest of pack file, chemistry, fuse and load.

#include <cmath>

#include "analysis/accuracy.hpp"
#include "analysis/pack.hpp"
#include "bench/files/bench_file.hpp"

namespace sagbench::bench {

struct Limits {
  std::size_t cells_in_series = 0;
  double nominal_v = 0.0;    // of the pack
  double pack_low_v = 0.0;   // chemistry floor of all cells together
  double pack_high_v = 0.0;  // end-of-charge voltage, and the load's own maximum
  double cell_low_v = 0.0;
  double cell_high_v = 0.0;
  double current_a = 0.0;       // what may be asked for: lowest of pack, fuse, load
  double current_high_a = 0.0;  // what may be measured: the above plus accuracy
  double power_high_w = 0.0;    // the load's maximum
  double temperature_low_c = 0.0;
  double temperature_high_c = 0.0;
  double charge_high_ah = 0.0;    // 130 % of rated
  double contact_fixed_v = 0.0;   // allowed difference between meter and load: this ...
  double contact_ohm = 0.0;       // ... plus this times the current
  double tracking_fixed_a = 0.0;  // a current may exceed its setpoint by this ...
  double tracking_share = 0.0;    // ... plus this share
  double heating_warn_c = 0.0;    // within a minute
  double heating_high_c = 0.0;
  double contact_warn_w = 0.0;  // lost between pack and load, more than at best ...
  double contact_high_w = 0.0;
  double contact_warm_share = 0.0;  // ... plus this share of what it was then
  double resistance_times = 0.0;    // the lowest of the run ...
  double resistance_share = 0.0;    // ... and this share of the nominal voltage more
  double cell_away_v = 0.0;         // below the mean of the other cells ...
  double cell_plateau_v = 0.0;      // ... while that is above this
  double cells_sum_share = 0.0;     // of the nominal voltage, between cells' sum and pack
  double frozen_fine_ah = 0.0;      // removed without the least change of voltage
  double frozen_coarse_ah = 0.0;    // the same where readings have few digits
  bool protection_board =
      false;  // the pack may disconnect itself: no voltage without current is then no breach

  /// What may be measured where `setpoint_a` was asked for.
  double allowed_at_setpoint_a(double setpoint_a) const noexcept {
    return setpoint_a * (1.0 + tracking_share) + tracking_fixed_a;
  }
  /// How much more than the load the meter may read at this current.
  double allowed_difference_v(double at_a) const noexcept {
    return contact_fixed_v + contact_ohm * std::abs(at_a);
  }
};

/// A pack file may only tighten what the chemistry allows; the bench file adds what its instruments
/// bear and how well they know.
Limits limits_for(const analysis::Pack& pack, const Bench& bench);

}  // namespace sagbench::bench
