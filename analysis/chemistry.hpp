#pragma once
// What each chemistry allows, per cell. Every limit names its source; a pack file may only tighten
// them.

#include <optional>
#include <span>
#include <string_view>

namespace sagbench::analysis {

enum class Chemistry { lfp, nmc, nca, lco, agm, gel, flooded, nimh };

/// Per-cell limits, volts and degrees Celsius.
struct ChemistryLimits {
  std::string_view name;        // as written in pack.json
  double nominal_v;             // 3.2 for LFP
  double floor_v;               // never below, whatever the pack file says
  double end_of_discharge_v;    // used when the pack file names none
  double end_of_charge_v;       // highest voltage during charge; also the highest a file may name
  double open_circuit_empty_v;  // plausible rested voltage of an empty cell
  double open_circuit_full_v;   // plausible rested voltage of a full cell
  double discharge_min_c;       // temperature limits of discharge
  double discharge_max_c;
  bool lithium;
  bool lead_acid;
};

const ChemistryLimits& limits_of(Chemistry chemistry) noexcept;
std::optional<Chemistry> chemistry_from(std::string_view name) noexcept;
/// All names a pack file may use, in the order messages list them.
std::span<const std::string_view> chemistry_names() noexcept;

}  // namespace sagbench::analysis
