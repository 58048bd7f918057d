#pragma once
// What a typical cell of a chemistry is like, per ampere-hour of its size.

#include <array>
#include <cstddef>

#include "analysis/chemistry.hpp"

namespace sagbench::drivers::virtual_bench {

constexpr std::size_t kBranches = 3;

/// Resistances are given for 25 °C, a full cell of 1 Ah; a cell of C Ah has 1/C of them. Activation
/// temperatures are the activation energy divided by the gas constant (law of Arrhenius), in
/// kelvin.
struct CellType {
  double ohmic_ohm_ah;
  std::array<double, kBranches> branch_ohm_ah;  // charge transfer, then two of diffusion
  std::array<double, kBranches> branch_tau_s;
  double empty_rise;        // resistance of an empty cell is 1 + this times that of a full one ...
  double empty_rise_below;  // ... beginning at this state of charge
  double ohmic_activation_k;
  double branch_activation_k;
  // Charge stands in two wells joined by diffusion; only the first feeds the electrode (two-well
  // kinetic model of J. F. Manwell and J. G. McGowan, "Lead acid battery storage model for hybrid
  // energy systems", Solar Energy 50 (1993) 399-405). This, not an empirical power law, is why a
  // fast discharge gives less.
  double available_share;  // of all charge, in the first well
  double exchange_per_s;   // rate at which a difference between the wells dies away, at 25 °C
  double exchange_activation_k;
  double store_per_rated;        // all charge in the wells, in units of the rated capacity
  double hysteresis_v;           // charge branch above discharge branch
  double surface_v;              // what a fresh charge adds on top at 100 %
  double hysteresis_per_charge;  // how fast a discharge wipes both out, per unit of state of charge
  double energy_wh_per_kg;       // for packs of unstated mass
};

const CellType& cell_type_of(analysis::Chemistry chemistry) noexcept;

}  // namespace sagbench::drivers::virtual_bench
