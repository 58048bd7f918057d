#pragma once
// One simulated pack measured, its radio's hours and lowest supply predicted, and then the radio
// played.

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/pack.hpp"

namespace sagbench::tests {

struct Trial {
  analysis::Chemistry chemistry = analysis::Chemistry::lfp;
  analysis::RadioClass radio_class = analysis::RadioClass::qrp;
  std::uint64_t seed = 1;  // of pack, instruments, pattern; it also chooses mode and share
};

std::string name_of(const Trial& trial);

/// A capacity discharge, peaks, half an hour on the air from full, then on the air from full until
/// the radio leaves it: what was predicted for the last two and what came of it, in that order.
/// Throws std::runtime_error where the run did not come to its end.
std::vector<analysis::PredictionTest> tried(const Trial& trial);
/// The same, the run kept in `folder`; where it is there already, only predicted anew.
std::vector<analysis::PredictionTest> tried_in(const Trial& trial, const std::string& folder);

/// The chemistries and the classes of the goal, one seed each.
std::vector<Trial> trials_of(std::uint64_t seed);

}  // namespace sagbench::tests
