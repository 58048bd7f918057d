#include "drivers/virtual/cell_type.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

// LFP: a 10 Ah cell with its joints has 4 to 6 mohm at once and 1 to 2 mohm more by and by (a
// maker's data sheet gives 4 mohm or less without joints; the rest from memory).
constexpr CellType kLfp{.ohmic_ohm_ah = 0.036,
                        .branch_ohm_ah = {0.012, 0.009, 0.009},
                        .branch_tau_s = {0.05, 12.0, 320.0},
                        .empty_rise = 0.9,
                        .empty_rise_below = 0.30,
                        .ohmic_activation_k = 1600.0,
                        .branch_activation_k = 3600.0,
                        .available_share = 0.85,
                        .exchange_per_s = 6.0 / 3600.0,
                        .exchange_activation_k = 2400.0,
                        .store_per_rated = 0.995,
                        .hysteresis_v = 0.014,
                        .surface_v = 0.050,
                        .hysteresis_per_charge = 40.0,
                        .energy_wh_per_kg = 100.0};

// Layered oxides: a 2.9 Ah cell measures 21 mohm where its impedance is real and 36 mohm after 10 s
// (P. Kollmeyer, Mendeley Data 2018, doi:10.17632/wykht8y7tg.1).
constexpr CellType kLayeredOxide{.ohmic_ohm_ah = 0.061,
                                 .branch_ohm_ah = {0.021, 0.032, 0.030},
                                 .branch_tau_s = {0.05, 9.0, 260.0},
                                 .empty_rise = 1.2,
                                 .empty_rise_below = 0.25,
                                 .ohmic_activation_k = 1600.0,
                                 .branch_activation_k = 3600.0,
                                 .available_share = 0.85,
                                 .exchange_per_s = 6.0 / 3600.0,
                                 .exchange_activation_k = 2400.0,
                                 .store_per_rated = 0.995,
                                 .hysteresis_v = 0.006,
                                 .surface_v = 0.004,
                                 .hysteresis_per_charge = 30.0,
                                 .energy_wh_per_kg = 180.0};

// AGM: 20 to 25 mohm for a 12 V battery of 10 Ah (from memory); weaker acid conducts worse.
constexpr CellType kAgm{.ohmic_ohm_ah = 0.037,
                        .branch_ohm_ah = {0.008, 0.010, 0.012},
                        .branch_tau_s = {0.06, 16.0, 480.0},
                        .empty_rise = 1.5,
                        .empty_rise_below = 0.80,
                        .ohmic_activation_k = 1200.0,
                        .branch_activation_k = 2600.0,
                        .available_share = 0.42,
                        .exchange_per_s = 1.2 / 3600.0,
                        .exchange_activation_k = 1300.0,
                        .store_per_rated = 1.021,
                        .hysteresis_v = 0.004,
                        .surface_v = 0.020,
                        .hysteresis_per_charge = 30.0,
                        .energy_wh_per_kg = 33.0};

constexpr CellType thicker_plates(double ohmic_ohm_ah, double exchange_per_h,
                                  double store_per_rated) {
  CellType type = kAgm;
  type.ohmic_ohm_ah = ohmic_ohm_ah;
  type.exchange_per_s = exchange_per_h / 3600.0;
  type.store_per_rated = store_per_rated;
  return type;
}
constexpr CellType kGel = thicker_plates(0.050, 1.1, 1.026);
constexpr CellType kFlooded = thicker_plates(0.045, 1.0, 1.032);

// NiMH: typical, from memory.
constexpr CellType kNimh{.ohmic_ohm_ah = 0.040,
                         .branch_ohm_ah = {0.012, 0.015, 0.020},
                         .branch_tau_s = {0.05, 14.0, 420.0},
                         .empty_rise = 0.8,
                         .empty_rise_below = 0.20,
                         .ohmic_activation_k = 1400.0,
                         .branch_activation_k = 3000.0,
                         .available_share = 0.85,
                         .exchange_per_s = 5.0 / 3600.0,
                         .exchange_activation_k = 2000.0,
                         .store_per_rated = 1.0,
                         .hysteresis_v = 0.020,
                         .surface_v = 0.020,
                         .hysteresis_per_charge = 15.0,
                         .energy_wh_per_kg = 80.0};

}  // namespace

const CellType& cell_type_of(analysis::Chemistry chemistry) noexcept {
  using analysis::Chemistry;
  switch (chemistry) {
    case Chemistry::lfp:
      return kLfp;
    case Chemistry::nmc:
    case Chemistry::nca:
    case Chemistry::lco:
      return kLayeredOxide;
    case Chemistry::agm:
      return kAgm;
    case Chemistry::gel:
      return kGel;
    case Chemistry::flooded:
      return kFlooded;
    case Chemistry::nimh:
      return kNimh;
  }
  return kLfp;
}

}  // namespace sagbench::drivers::virtual_bench
