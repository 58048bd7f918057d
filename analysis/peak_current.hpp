#pragma once
// The largest current a pack sustains at each tested state of charge.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/sag_line.hpp"

namespace sagbench::analysis {

/// Extrapolation beyond what was held ends here (our choice): the sag of a pack does not stay
/// straight for ever.
inline constexpr double kLargestExtrapolation = 1.5;
/// PeakCurrent::limited_by where only that ended it: the pack may well sustain more.
inline constexpr std::string_view kTestedRange = "tested range";

struct CurrentLimit {
  double current_a = 0.0;
  std::string by;  // as PeakCurrent::limited_by
};
/// What pack, fuse and load allow whatever the voltage; those that are known.
std::vector<CurrentLimit> fixed_limits(const Recording& recording);

/// The radio whose supply limits count: the plan's first QRO radio, else its first QRP radio, else
/// none.
std::optional<Radio> leading_radio(const Recording& recording);
/// The radio of a class: that of the plan's first transmit step with one.
std::optional<Radio> radio_of(const Recording& recording, RadioClass radio_class);

/// One entry a line: where the supply at the radio (pack voltage minus cable drop) would reach
/// supply_min, or, without a radio, where the pack would reach its end-of-discharge voltage; capped
/// by pack limit, fuse, load and by kLargestExtrapolation times the largest current asked for and
/// held, and by the largest held current where the pack let a larger one go early ("pack limit"
/// when its protection board opened, else "end of discharge").
std::vector<PeakCurrent> peak_currents(const Recording& recording, std::span<const SagLine> lines);

}  // namespace sagbench::analysis
