#pragma once
// The limits of one run: the tightest of pack file, chemistry, fuse and load.

#include "analysis/accuracy.hpp"
#include "analysis/pack.hpp"
#include "bench/bench_file.hpp"

namespace sagbench::bench {

struct Limits {
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
  double tracking_share = 0.05;   // ... plus this share
  bool protection_board =
      false;  // the pack may disconnect itself: no voltage without current is then no breach
};

Limits limits_for(const analysis::Pack& pack, const Bench& bench);

}  // namespace sagbench::bench
