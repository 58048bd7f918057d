#pragma once
// Which samples belong together, and whether they can be trusted at all.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {

/// Why no figure may be drawn from these samples: none, a reading that is no number or beyond
/// anything measurable, a clock or step count that runs backwards, a step that does not exist.
/// Nothing when they are sound.
std::optional<std::string> defect_of(const Recording& recording);

/// Samples of one step; views into the recording, which must outlive the result. Precondition: no
/// defect.
std::span<const Sample> samples_of(const Recording& recording, int step);

/// With less than a quarter of the pack's end-of-discharge voltage nothing is behind the terminals,
/// or a sense lead is off.
bool shows_pack(const Sample& sample, const Pack& pack);

/// At or below that voltage, and yet a pack.
bool is_behind_the_end(const Sample& sample, const Pack& pack);

/// In data of another logger a current up to this is its offset: 1 % of It (our choice).
double logger_offset_a(const Pack& pack) noexcept;

/// The input is off, or, in data of another logger, no more flows than its offset. The silences of
/// a radio's pattern are no rest.
bool is_resting(const Sample& sample, const Pack& pack) noexcept;

/// Next to nothing flows of the current that is asked for.
bool lacks_current(const Sample& sample);

/// The pack's voltage on the straight line between the samples about `time_s`; before the first and
/// after the last, theirs. Precondition: there is a sample.
double voltage_at(std::span<const Sample> samples, double time_s);

/// The load asks for current and the pack does not give it: its protection board has opened.
/// Not told within 0.2 s of a setpoint, which a load may need to settle.
bool board_open(const Sample& sample);

/// When the setpoint of its sample took effect; where that is not recorded, the sample's own time.
double setpoint_since_s(const Sample& sample) noexcept;

/// Taken in a steady discharge, the setpoint above zero.
bool discharging(const Sample& sample);

/// The pack's voltage in a steady discharge, as long as current flows.
std::vector<Reading> discharge_voltage(std::span<const Sample> samples);

/// Mean over time of the temperatures that were read; absent when none was.
std::optional<double> mean_temperature_c(std::span<const Sample> samples);

}  // namespace sagbench::analysis
