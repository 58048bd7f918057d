#pragma once
// An operation put to a pack: what is asked, what was measured, and what follows directly.

#include "analysis/figures.hpp"
#include "analysis/operation.hpp"
#include "analysis/operation_draw.hpp"
#include "analysis/temperature_factor.hpp"
#include "analysis/usable_charge.hpp"

namespace sagbench::analysis {

struct OperationCase {
  const Recording& recording;
  const Figures& figures;
  const Operation& operation;
  OperationDraw draw;
  Finding<Measured> capacity_ah;  // at the mean current where that is known, else as measured
  Finding<TemperatureFactor> temperature;
  UsableCharge usable;

  /// The operation is colder than the run by more than a room's temperature varies (5 K, IEC
  /// 61960-3). False also where a temperature is not known.
  bool is_colder() const noexcept;
  /// The operation's temperature differs from the run's by more than that, either way.
  bool is_at_other_temperature() const noexcept;
};

}  // namespace sagbench::analysis
