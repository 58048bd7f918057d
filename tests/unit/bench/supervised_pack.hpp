#pragma once
// A healthy pack under load and its limits, for tests of the supervisor to spoil.

#include "bench/safety/supervisor.hpp"

namespace sagbench::tests {

/// Of four LFP cells, 10 Ah.
inline bench::Limits supervised_limits() {
  bench::Limits limits;
  limits.cells_in_series = 4;
  limits.nominal_v = 12.8;
  limits.pack_low_v = 8.0;
  limits.pack_high_v = 14.6;
  limits.cell_low_v = 2.0;
  limits.cell_high_v = 3.65;
  limits.current_a = 20.0;
  limits.current_high_a = 20.5;
  limits.power_high_w = 250.0;
  limits.temperature_low_c = -20.0;
  limits.temperature_high_c = 55.0;
  limits.charge_high_ah = 13.0;
  limits.contact_fixed_v = 0.15;
  limits.contact_ohm = 0.01;
  limits.tracking_fixed_a = 0.05;
  limits.tracking_share = 0.05;
  limits.heating_warn_c = 3.0;
  limits.heating_high_c = 5.0;
  limits.contact_warn_w = 2.0;
  limits.contact_high_w = 5.0;
  limits.contact_warm_share = 0.3;
  limits.resistance_times = 2.0;
  limits.resistance_share = 0.05;
  limits.cells_sum_share = 0.05;
  limits.cell_away_v = 0.16;
  limits.cell_plateau_v = 2.85;
  limits.frozen_fine_ah = 0.4;
  limits.frozen_coarse_ah = 2.0;
  return limits;
}

/// At 10 A, everything fresh.
inline bench::Snapshot supervised_pack() {
  bench::Snapshot now;
  now.now_s = 100.0;
  now.calendar_ahead_s = 1000.0;
  now.input_on = true;
  now.commanded_a = 10.0;
  now.commanded_since_s = 50.0;
  now.pack_v = {12.8, 99.9};
  now.current_a = {10.0, 99.9};
  now.has_meter = true;
  now.load_v = {12.75, 99.8};
  now.has_temperature = true;
  now.temperature_c = {25.0, 99.8};
  now.cell_v.assign(4, bench::Stamped{3.2, 99.8});
  now.charge_removed_ah = 1.0;
  now.step_elapsed_s = 50.0;
  now.step_longest_s = 1000.0;
  now.watch_s = 5.0;
  now.slow_watch_s = 10.0;
  return now;
}

}  // namespace sagbench::tests
