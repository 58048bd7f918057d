#include "analysis/pack.hpp"

#include <algorithm>
#include <tuple>

namespace sagbench::analysis {

bool same_pack(const Pack& left, const Pack& right) {
  const auto key = [](const Pack& pack) {
    return std::tuple(pack.name, pack.serial, pack.chemistry, pack.series, pack.parallel,
                      pack.rated_capacity_ah);
  };
  return key(left) == key(right);
}

double nominal_voltage_v(const Pack& pack) noexcept {
  return pack.series * limits_of(pack.chemistry).nominal_v;
}

double end_of_discharge_voltage_v(const Pack& pack) noexcept {
  const double by_chemistry = pack.series * limits_of(pack.chemistry).end_of_discharge_v;
  return pack.end_of_discharge_v.value_or(by_chemistry);
}

double end_of_charge_voltage_v(const Pack& pack) noexcept {
  const double by_chemistry = pack.series * limits_of(pack.chemistry).end_of_charge_v;
  return pack.end_of_charge_v.value_or(by_chemistry);
}

double cell_end_of_discharge_v(const Pack& pack) noexcept {
  const double floor_v = limits_of(pack.chemistry).floor_v;
  if (pack.series < 1) return floor_v;
  return std::max(floor_v, end_of_discharge_voltage_v(pack) / pack.series);
}

double max_temperature_c(const Pack& pack) noexcept {
  const double by_chemistry = limits_of(pack.chemistry).discharge_max_c;
  return std::min(by_chemistry, pack.max_temperature_c.value_or(by_chemistry));
}

double current_limit_a(const Pack& pack) noexcept {
  if (pack.max_discharge_current_a && pack.fuse_a)
    return std::min(*pack.max_discharge_current_a, *pack.fuse_a);
  if (pack.max_discharge_current_a) return *pack.max_discharge_current_a;
  if (pack.fuse_a) return *pack.fuse_a;
  return rated_current_it_a(pack);
}

double rated_current_it_a(const Pack& pack) noexcept {
  return pack.rated_capacity_ah;  // divided by 1 h
}

}  // namespace sagbench::analysis
