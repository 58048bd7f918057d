#pragma once
// At which charges a fitted circuit gets values of its own.

#include <span>

#include "analysis/charge_knots.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {

/// For the open-circuit voltage: closer where it falls faster than elsewhere, as far as the voltage
/// under load tells, up to kMostSourceKnots. `full_ah` is the scale of charge. Precondition: there
/// is a reading.
ChargeKnots source_knots(std::span<const PulseTrain> trains, double full_ah);
inline constexpr std::size_t kMostSourceKnots = 60;
/// Of the full charge, for so much charge behind a change of current. Closer ones would follow a
/// single pulse's sag.
inline constexpr double kSourceApart = 0.01;

/// For the resistances: where the current changes, which is where they show; up to
/// kMostResistanceKnots.
ChargeKnots resistance_knots(std::span<const PulseTrain> trains, double full_ah);
inline constexpr std::size_t kMostResistanceKnots = 8;

}  // namespace sagbench::analysis
