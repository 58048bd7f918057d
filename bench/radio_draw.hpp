#pragma once
// What the radio of a transmit step draws, and when it goes off the air.

#include <optional>

#include "bench/plan_file.hpp"
#include "bench/radio_pattern.hpp"
#include "bench/step_context.hpp"

namespace sagbench::bench {

/// Supply current of `segment` where the radio's supply stands at `at_v`, at most `allowed_a`. A
/// regulated stage draws constant power, so its current rises as the supply falls.
double radio_current_a(const Segment& segment, const analysis::Radio& radio, double at_v,
                       double allowed_a);

/// The radio's supply voltage, behind its cable, in the last sample that is safe in the archive;
/// its nominal one before there is any.
double supply_now_v(Rig& rig, const analysis::Radio& radio);

/// How the step ends with this sample: the discharge's end, or the radio's lower supply limit where
/// the step says so; nothing while it goes on.
std::optional<StepOutcome> off_the_air(const analysis::Sample& sample, const TransmitStep& step,
                                       const analysis::Pack& pack);

}  // namespace sagbench::bench
