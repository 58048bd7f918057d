#include "bench/safety/limits.hpp"

#include <algorithm>

namespace sagbench::bench {
namespace {

constexpr double kChargeShare = 1.3;  // of rated capacity; design guarantee 2
constexpr double kUnstatedLeads_ohm =
    0.02;  // used for the contact check when the bench file names none
constexpr double kContactFixed_v =
    0.15;  // common practice, no source: a sound connection loses less at these currents
constexpr double kTrackingFixed_a = 0.02;
constexpr double kTrackingShare = 0.05;
constexpr double kCurrentMargin =
    1.02;  // a setpoint and a filter of the load may overshoot a little
// Common practice, no source, all of these.
constexpr double kHeatingWarn_c = 3.0, kHeatingHigh_c = 5.0;  // within a minute
constexpr double kContactWarn_w = 2.0, kContactHigh_w = 5.0;  // a plug that takes 5 W burns fingers
constexpr double kContactWarmShare = 0.3;                     // copper 75 degrees warmer
constexpr double kResistanceTimes = 2.0, kResistanceShare = 0.05;
constexpr double kCellsSumShare = 0.05;
constexpr double kCellAwayShare = 0.05;    // of the nominal voltage
constexpr double kFrozenFineShare = 0.04;  // of rated capacity; even a flat plateau slopes as much
constexpr double kFrozenCoarseShare = 0.2;

}  // namespace

Limits limits_for(const analysis::Pack& pack, const Bench& bench) {
  const auto& chemistry = analysis::limits_of(pack.chemistry);
  const auto accuracy = accuracy_of(bench);
  Limits limits;
  limits.cells_in_series = static_cast<std::size_t>(pack.series);
  limits.nominal_v = analysis::nominal_voltage_v(pack);
  limits.cell_low_v = chemistry.floor_v;
  limits.cell_high_v =
      chemistry.end_of_charge_v + accuracy.load_voltage.half_width(chemistry.end_of_charge_v);
  limits.pack_low_v = std::max(pack.series * chemistry.floor_v, bench.load.min_voltage_v);
  const double full_v = analysis::end_of_charge_voltage_v(pack);
  limits.pack_high_v =
      std::min(full_v + accuracy.load_voltage.half_width(full_v), bench.load.max_voltage_v);
  limits.current_a = std::min(analysis::current_limit_a(pack), bench.load.max_current_a);
  limits.current_high_a =
      limits.current_a * kCurrentMargin + accuracy.load_current.half_width(limits.current_a);
  limits.power_high_w = bench.load.max_power_w;
  limits.temperature_low_c = chemistry.discharge_min_c;
  limits.temperature_high_c = analysis::max_temperature_c(pack);
  limits.charge_high_ah = kChargeShare * pack.rated_capacity_ah;
  limits.contact_fixed_v = kContactFixed_v + accuracy.load_voltage.half_width(full_v);
  if (accuracy.meter_voltage) limits.contact_fixed_v += accuracy.meter_voltage->half_width(full_v);
  limits.contact_ohm = 2.0 * (bench.leads_ohm > 0.0 ? bench.leads_ohm : kUnstatedLeads_ohm);
  limits.tracking_fixed_a =
      kTrackingFixed_a + 2.0 * accuracy.load_current.half_width(limits.current_a);
  limits.tracking_share = kTrackingShare;
  limits.heating_warn_c = kHeatingWarn_c;
  limits.heating_high_c = kHeatingHigh_c;
  limits.contact_warn_w = kContactWarn_w;
  limits.contact_high_w = kContactHigh_w;
  limits.contact_warm_share = kContactWarmShare;
  limits.resistance_times = kResistanceTimes;
  limits.resistance_share = kResistanceShare;
  limits.cells_sum_share = kCellsSumShare;
  limits.cell_away_v = kCellAwayShare * chemistry.nominal_v;
  limits.cell_plateau_v = (chemistry.end_of_discharge_v + chemistry.nominal_v) / 2.0;
  limits.frozen_fine_ah = kFrozenFineShare * pack.rated_capacity_ah;
  limits.frozen_coarse_ah = kFrozenCoarseShare * pack.rated_capacity_ah;
  limits.protection_board = pack.protection_board;
  return limits;
}

}  // namespace sagbench::bench
