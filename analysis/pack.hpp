#pragma once
// The pack under test, as its owner describes it.

#include <optional>
#include <string>

#include "analysis/chemistry.hpp"

namespace sagbench::analysis {

struct Price {
  double amount = 0.0;
  std::string currency;
};

/// Values the owner left out are absent here; the functions below fill in what the chemistry
/// implies.
struct Pack {
  std::string name;
  std::string serial;
  std::string builder;
  std::string built;  // ISO date or empty
  Chemistry chemistry = Chemistry::lfp;
  int series = 1;
  int parallel = 1;
  double rated_capacity_ah = 0.0;
  std::optional<double> mass_kg;
  std::optional<double> max_discharge_current_a;
  std::optional<double> fuse_a;
  bool protection_board = false;
  std::optional<double> end_of_discharge_v;
  std::optional<double> end_of_charge_v;
  std::optional<double> max_temperature_c;
  std::optional<Price> price;
};

/// Name, serial, chemistry, make-up and rating are alike: one pack, perhaps in several runs.
bool same_pack(const Pack& left, const Pack& right);

double nominal_voltage_v(const Pack& pack) noexcept;
/// Pack voltage at which a discharge ends.
double end_of_discharge_voltage_v(const Pack& pack) noexcept;
double end_of_charge_voltage_v(const Pack& pack) noexcept;
/// Voltage at which a tapped cell ends a discharge: the pack's end voltage shared equally, never
/// below the chemistry's floor.
double cell_end_of_discharge_v(const Pack& pack) noexcept;
double max_temperature_c(const Pack& pack) noexcept;
/// The smallest of the owner's limit and the fuse. Without either: 1 It (common practice, no
/// source), a cautious figure that callers must announce.
double current_limit_a(const Pack& pack) noexcept;
/// It of IEC 61960-3: rated capacity divided by one hour.
double rated_current_it_a(const Pack& pack) noexcept;

}  // namespace sagbench::analysis
