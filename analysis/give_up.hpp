#pragma once
// Where a radio left the air because the pack could not keep it there.

#include <optional>
#include <string>

#include "analysis/charge_state.hpp"
#include "analysis/radio.hpp"

namespace sagbench::analysis {

struct GiveUp {
  double charge = 0.0;      // state of charge at that moment
  double removed_ah = 0.0;  // charge removed from full until then
  StepEnd end = StepEnd::supply_min;
  std::string reason;  // a clause for people
  int step = 0;
};

/// The first transmit step with this radio that the pack ended. Absent when none was.
/// Precondition: the recording has no defect.
std::optional<GiveUp> give_up_of(const Recording& recording, const ChargeState& charge,
                                 const Radio& radio);

}  // namespace sagbench::analysis
