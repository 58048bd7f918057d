#pragma once
// The charge that an operation's radio gets out of the pack of a run, and what ends it.

#include <string>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

struct UsableCharge {
  Finding<Measured> charge_ah;          // at the run's temperature
  std::string limited_by = "capacity";  // "capacity" | "sag" | "end of discharge"
  bool is_minimum = false;              // no test found where this radio leaves the air
  bool radio_tested = false;            // a radio whose peak is within 20 % of this one's
  bool by_test = false;                 // a test of that radio told the charge, else the capacity
};

/// From the rating of the radio's class where the run tested a radio like it; else the whole
/// capacity, `capacity_ah`. Missing where the pack does not suit the radio and nothing tells how
/// long it would have lasted.
UsableCharge usable_charge(const Recording& recording, const Figures& figures, const Radio& radio,
                           const Finding<Measured>& capacity_ah);

/// What the test behind a rating found usable, with the doubt of the run's charges. Missing where
/// it found none.
Finding<Measured> usable_by_test(const Recording& recording, const Figures& figures,
                                 const Rating& rating);

}  // namespace sagbench::analysis
