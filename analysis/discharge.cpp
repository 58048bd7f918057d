#include "analysis/discharge.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include "analysis/end_crossing.hpp"
#include "analysis/full_pack.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

// A current below minus this share of It, or a discharge that gives less than this share of It, is
// none.
constexpr double kNoCurrentShare = 0.01;
// A voltage that stands at its end so soon after the current's start was not discharged to it: a
// bad contact, or a pack that cannot bear the current (our choice).
constexpr double kAtOnce_s = 1.0;

using Missing = Finding<Discharge>;

/// From the first to the last sample with the discharge's setpoint.
std::span<const Sample> steady_part(std::span<const Sample> samples) {
  const auto first = std::find_if(samples.begin(), samples.end(), discharging);
  const auto last = std::find_if(samples.rbegin(), samples.rend(), discharging);
  if (first == samples.end()) return {};
  return {first, last.base()};
}

std::vector<Reading> lowest_cell(std::span<const Sample> samples) {
  std::vector<Reading> readings;
  for (const Sample& sample : samples) {
    if (sample.cell_v.empty() || !discharging(sample) || board_open(sample)) continue;
    readings.push_back({sample.time_s, *std::ranges::min_element(sample.cell_v)});
  }
  return readings;
}

/// Between the last sample before a gap and the first one with current after it.
bool in_gap(const Discharge& discharge, double time_s) {
  return std::ranges::any_of(discharge.gaps, [&](const Gap& gap) {
    const auto after = std::ranges::find_if(discharge.samples, [&](const Sample& sample) {
      return sample.time_s >= gap.end_s && discharging(sample);
    });
    const bool resumed = after != discharge.samples.end();
    return time_s >= gap.start_s && (!resumed || time_s <= after->time_s);
  });
}

/// Of the two readings around `time_s`, the longer: each voltage belongs to some instant of its own
/// exchange, so the line between them is off by half of that at most.
double round_trip_around_s(std::span<const Sample> samples, double time_s) {
  const auto right = std::ranges::lower_bound(samples, time_s, {}, &Sample::time_s);
  if (right == samples.end()) return samples.back().round_trip_s;
  const auto left = right == samples.begin() ? right : right - 1;
  return std::max(left->round_trip_s, right->round_trip_s);
}

Missing end_by_voltage(Discharge discharge, std::span<const Reading> readings, double end_v) {
  const auto crossing = last_crossing(readings, end_v);
  if (!crossing)
    return Missing::missing("the samples do not show the voltage falling through " +
                            rounded(end_v, 2) + " V");
  if (crossing->time_s - discharge.start_s < kAtOnce_s)
    return Missing::missing("the voltage was at " + rounded(end_v, 2) +
                            " V as soon as current flowed: no discharge of a pack");
  if (in_gap(discharge, crossing->time_s))
    return Missing::missing("the voltage fell through " + rounded(end_v, 2) +
                            " V while nobody watched");
  discharge.end_s = crossing->time_s;
  discharge.end_doubt_s =
      round_trip_around_s(discharge.samples, crossing->time_s) / 2.0 + crossing->doubt_s;
  discharge.fall_v_per_s = crossing->fall_v_per_s;
  discharge.scatter_v = crossing->scatter_v;
  discharge.deciding_v = end_v;
  discharge.to_voltage_v = voltage_at(discharge.samples, crossing->time_s);
  return discharge;
}

/// The board opened somewhere between the last sample with current and the first without; the
/// middle is taken.
Missing end_by_board(Discharge discharge) {
  const auto samples = discharge.samples;
  const auto open = std::find_if(samples.begin(), samples.end(), board_open);
  if (open == samples.begin() || open == samples.end())
    return Missing::missing("the samples do not show when the protection board opened");
  if (open - samples.begin() < 2)
    return Missing::missing("the protection board opened at once: one sample is no discharge");
  const Sample& last = *(open - 1);
  discharge.end_doubt_s = (open->time_s - last.time_s) / 2.0;
  discharge.end_s = last.time_s + discharge.end_doubt_s;
  discharge.deciding_v = discharge.to_voltage_v = last.voltage_v;
  discharge.samples = {samples.begin(), open};
  return discharge;
}

std::string fell_short(const Recording& recording, std::span<const Sample> samples,
                       const std::string& reason) {
  const auto lowest = std::ranges::min_element(samples, {}, &Sample::voltage_v);
  const Sample& first = samples.front();
  const Flow removed =
      flow(samples, setpoint_since_s(first), samples.back().time_s, recording.gaps);
  return reason + " before the end voltage of " +
         rounded(end_of_discharge_voltage_v(recording.pack), 2) + " V: lowest " +
         rounded(lowest->voltage_v, 2) + " V, " + rounded(removed.charge_ah, 3) +
         " Ah removed until then";
}

std::string short_reason(const Step& step) {
  const std::string detail = step.why.empty() ? "" : " (" + step.why + ")";
  if (step.end == StepEnd::interrupted) return "the discharge was interrupted" + detail;
  return "the discharge stopped" + detail;
}

/// A current into the pack, beyond what the instrument's own zero may be off by.
bool charges(const Sample& sample, const Recording& recording) {
  const double none = std::max(kNoCurrentShare * rated_current_it_a(recording.pack),
                               recording.accuracy.load_current.half_width(sample.current_a));
  return sample.current_a < -none;
}

/// Why these samples are no discharge of a full pack; empty when they are.
std::string objection(const Recording& recording, const Step& step,
                      std::span<const Sample> samples) {
  if (step.end == StepEnd::skipped)
    return "the capacity step was skipped" + (step.why.empty() ? "" : ": " + step.why);
  if (samples.empty()) return "the load's input never came on in the capacity step";
  if (step.charge_before_ah > kFullShare * recording.pack.rated_capacity_ah)
    return "the pack was not full: " + rounded(step.charge_before_ah, 3) +
           " Ah had been removed before the capacity step";
  if (std::ranges::any_of(samples,
                          [&](const Sample& sample) { return charges(sample, recording); }))
    return "the pack was charged during the capacity step";
  const auto asked = samples.front().commanded_a;
  if (std::ranges::all_of(samples, lacks_current))
    return "no current flowed although " + rounded(asked, 3) + " A were asked for";
  if (samples.size() < 2) return "one sample is too few for a discharge";
  return "";
}

}  // namespace

Flow flow_of(const Discharge& discharge) {
  Flow total = flow(discharge.samples, discharge.start_s, discharge.end_s, discharge.gaps);
  if (discharge.samples.empty() || discharge.end_s <= discharge.samples.back().time_s) return total;
  const Sample& last = discharge.samples.back();
  Sample held = last;
  held.time_s = discharge.end_s;
  held.commanded_since_s = last.time_s;
  total += flow(std::span(&held, 1), last.time_s, discharge.end_s);
  return total;
}

Finding<Discharge> capacity_discharge(const Recording& recording, int step_index) {
  const Step& step = recording.steps[static_cast<std::size_t>(step_index)];
  const auto samples = steady_part(samples_of(recording, step_index));
  if (auto why = objection(recording, step, samples); !why.empty())
    return Missing::missing(std::move(why));

  Discharge discharge{
      .samples = samples, .gaps = recording.gaps, .ended_by = step.end, .step = step_index};
  discharge.start_s = setpoint_since_s(samples.front());
  discharge.start_doubt_s = samples.front().round_trip_s / 2.0;
  switch (step.end) {
    case StepEnd::end_of_discharge:
      return end_by_voltage(discharge, discharge_voltage(samples),
                            end_of_discharge_voltage_v(recording.pack));
    case StepEnd::cell_end_of_discharge:
      return end_by_voltage(discharge, lowest_cell(samples),
                            cell_end_of_discharge_v(recording.pack));
    case StepEnd::protection_board:
      return end_by_board(discharge);
    case StepEnd::interrupted:
      // A limit may end the run at the very reading that shows the end of the discharge; not one
      // that shows no pack at all, as when a sense lead came off.
      if (is_behind_the_end(samples.back(), recording.pack))
        return end_by_voltage(discharge, discharge_voltage(samples),
                              end_of_discharge_voltage_v(recording.pack));
      break;
    case StepEnd::completed:
    case StepEnd::supply_min:
    case StepEnd::skipped:
      break;
  }
  return Missing::missing(fell_short(recording, samples, short_reason(step)));
}

}  // namespace sagbench::analysis
