#pragma once
// Hours on the air for an owner's way of operating, from a measured run.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/capacity_at_current.hpp"
#include "analysis/field_recharge.hpp"
#include "analysis/hours_reckoning.hpp"

namespace sagbench::analysis {

struct Endurance {
  Finding<Measured> hours;         // with the operation's recharge counted; absent: why
  bool hours_are_minimum = false;  // no test drove this radio off the air: at least so many
  bool hours_are_maximum = false;  // what the cold takes is not known: at most so many
  bool by_test = false;            // a test of such a radio told the charge, else the capacity
  bool unlimited = false;          // recharge covers the mean draw
  std::string limited_by;  // as HoursLimit::by | "nothing: recharge covers the draw" | "does not
                           // start"
  std::vector<HoursLimit> limits;
  double mean_current_a = 0.0;  // radio and other loads, minus recharge
  double rms_current_a = 0.0;
  CableLoss cable;
  double energy_needed_wh =
      0.0;  // drawn by radio and other loads in the hours the operation asks for
  /// What a full pack of this kind must hold for those hours, as this run measured its energy: at
  /// most so much where the hours are a minimum, at least where they are a maximum.
  Finding<Measured> energy_to_bring_wh;
  Finding<Measured> capacity_at_mean_ah;  // from the pack's runs at several currents
  Finding<TemperatureFactor> temperature;
  // Hours (lower end of the interval) cover the operation. Absent also where too short a minimum
  // or a maximum leaves it open.
  std::optional<bool> enough;
  /// Where what the cold takes is not known: it would be enough if the cold left the radio this
  /// share of its hours.
  std::optional<double> enough_if_cold_leaves;
  FieldRecharge recharge;
  std::optional<bool> carry_ok;  // mass within the operation's limit
  std::vector<std::string> cautions;
};

/// `figures` must come from `recording`. `others`: whole discharges of the same pack in other runs,
/// the one to be preferred first; they tell what the mean current and the operation's temperature
/// make of the capacity. What neither they nor the published coefficient for lead-acid tell is not
/// guessed: where the operation is colder than the run, the hours are then a maximum. Below what
/// the chemistry bears the cold ends the operation; recharge of a lithium pack below 0 °C is
/// neither counted nor asked for. Elsewhere recharge counts in full, but in hours of sun no more
/// than is drawn in them: whether the pack has room for the rest depends on when the sun shines.
Endurance endurance(const Recording& recording, const Figures& figures, const Operation& operation,
                    std::span<const RatePoint> others = {});

/// What the operation draws from the pack in the mean, recharge taken off (A): at the mean voltage
/// of its discharge, without one at its nominal voltage.
double mean_current_a(const Pack& pack, const Finding<Capacity>& capacity,
                      const Operation& operation);

}  // namespace sagbench::analysis
