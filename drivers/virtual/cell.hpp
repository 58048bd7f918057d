#pragma once
// One series position of the pack: charge, voltages, heat. Exact for a constant current over a
// step, whatever its length, except that resistance is taken at the step's start.

#include <array>

#include "drivers/virtual/cell_type.hpp"
#include "drivers/virtual/open_circuit.hpp"

namespace sagbench::drivers::virtual_bench {

/// What one step does to every cell of a pack alike.
class StepFactors {
 public:
  StepFactors(const CellType& type, double step_s, double temperature_c);

  double step_s;
  double temperature_c;
  double ohmic_scale;                  // against 25 °C
  double branch_scale;                 // against 25 °C
  std::array<double, kBranches> kept;  // share of each branch voltage that survives the step
  double exchange_per_s;               // at this temperature
  double wells_kept;                   // share of the difference between the wells that survives
};

class Cell {
 public:
  /// `capacity_factor` and `resistance_factor` are against the chemistry's typical cell of
  /// `rated_ah`.
  Cell(const CellType& type, const OpenCircuitCurve& curve, double rated_ah, double capacity_factor,
       double resistance_factor);

  /// Freshly charged and rested at the given state of charge.
  void fill(double charge);
  void discharge(double current_a, const StepFactors& factors);

  /// Terminal voltage less the ohmic drop.
  double source_v() const noexcept { return source_v_; }
  double ohmic_ohm(double ohmic_scale) const noexcept { return ohmic_ohm_ * rise_ * ohmic_scale; }
  /// Lost in the cell's resistances; never negative.
  double heat_w(double current_a, const StepFactors& factors) const noexcept;
  double charge() const noexcept { return charge_; }
  double capacity_ah() const noexcept { return capacity_ah_; }

 private:
  void settle();

  const CellType* type_;
  const OpenCircuitCurve* curve_;
  double capacity_ah_;  // in both wells
  double ohmic_ohm_;    // at 25 °C, full
  std::array<double, kBranches> branch_ohm_;

  double charge_ = 1.0;      // of both wells together
  double difference_ = 0.0;  // level of the second well above the first
  double history_ = 1.0;     // 1 after a charge, 0 after a discharge
  std::array<double, kBranches> branch_v_{};
  double source_v_ = 0.0;
  double rise_ = 1.0;
};

}  // namespace sagbench::drivers::virtual_bench
