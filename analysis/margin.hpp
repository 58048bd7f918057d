#pragma once
// How far a radio's supply stays above its lower limit, and how surely.

#include <optional>
#include <span>

#include "analysis/finding.hpp"
#include "analysis/recording.hpp"
#include "analysis/sag_line.hpp"
#include "analysis/supply_curve.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis {

struct SupplyMargin {
  Measured margin_v;         // lowest supply under peaks minus supply_min
  UncertaintyBudget budget;  // in V
  SupplyPoint lowest;        // where that stands
  double sag_ohm = 0.0;      // of the pack there, about; 0 where no peaks were held
  double deepest = 0.0;      // lowest charge at which any sag was measured
};

/// From full down to kLastUsefulCharge over all curves. `relative_u` is the expanded uncertainty of
/// the charge scale. Terms: gain and offset of the voltage, gain and offset of the current over
/// cable and sag, leads where no meter senses, scatter of the readings, the way between two tested
/// states of charge, doubt about the charge at which it stands. Radio::cable_ohm is taken as exact.
/// Absent without points down to there.
std::optional<SupplyMargin> supply_margin(const BenchAccuracy& accuracy, const Radio& radio,
                                          std::span<const SupplyCurve> curves, double relative_u,
                                          std::span<const SagLine> lines);

/// Voltage of the full pack at rest, before any charge was removed: mean of the run's first rest
/// readings, five at most. Absent when the run does not begin with a rest of a full pack.
std::optional<Measured> full_rest_voltage(const Recording& recording);

}  // namespace sagbench::analysis
