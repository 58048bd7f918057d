#include "bench/run/continuation.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "analysis/charge_state.hpp"
#include "analysis/sample_series.hpp"
#include "bench/run/journal.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/steps/discharge_end.hpp"
#include "bench/text/duration_text.hpp"
#include "reports/iso_date.hpp"

namespace sagbench::bench {

using analysis::Finding;
using analysis::Gap;
using analysis::Recording;
using analysis::Sample;
using analysis::StepEnd;
using analysis::StepKind;
using reports::StepRow;

namespace {

constexpr double kLongestInterval_s = 1.0;  // between two samples of a discharge
constexpr double kLongestRetry_s = 5.0;     // a lost answer is asked for again no longer
/// So long a load may have been fed after the last sample that the archive has: the run stops when
/// writing is kLongestLag_s behind, and looks at that once a sample.
constexpr double kUnwritten_s = Journal::kLongestLag_s + 2.0 * kLongestInterval_s + kLongestRetry_s;
/// The run's stamp is in whole seconds, and its first sample comes a moment after it.
constexpr double kCalendarDoubt_s = 1.0;
constexpr double kClockSetBack_s = 2.0;   // more than that doubt explains
constexpr double kShortestGap_s = 0.001;  // time must not stand still across it
/// A gap that may have taken more than this share of the rating lowers the voltage by itself.
constexpr double kSmallShare = 0.01;
constexpr double kLeastShare = 0.1;  // of the rating: less is no capacity to refer to

using Missing = Finding<Continuation>;

/// The step that was going on, as far as the archive knows it.
struct CutShort {
  Recording recording;
  int row = 0;
  std::span<const Sample> samples;  // of that step
  const Sample* drawn = nullptr;    // the last one with current asked for; null: none
};

CutShort cut_short(const reports::RunRecord& record) {
  reports::RunRecord copy = record;
  CutShort found{recording_of(copy), static_cast<int>(record.steps.size()) - 1, {}, nullptr};
  if (found.row < 0 || analysis::defect_of(found.recording)) return found;
  found.samples = analysis::samples_of(found.recording, found.row);
  const auto last = std::find_if(found.samples.rbegin(), found.samples.rend(),
                                 [](const Sample& s) { return s.commanded_a > 0.0; });
  if (last != found.samples.rend()) found.drawn = &*last;
  return found;
}

/// While current was asked for nobody looked for longer than the watch time, and no gap says so:
/// the computer slept, and what flowed meanwhile only the load's watchdog knows.
std::string objection_to_watch(const CutShort& found) {
  const auto& gaps = found.recording.gaps;
  const auto unwatched = [&gaps](const Sample& from, const Sample& to) {
    if (!(from.commanded_a > 0.0) ||
        to.time_s - from.time_s <= kLongestRetry_s + kLongestInterval_s)
      return false;
    return std::none_of(gaps.begin(), gaps.end(), [&](const Gap& gap) {
      return gap.start_s >= from.time_s && gap.end_s <= to.time_s;
    });
  };
  const auto slept = std::adjacent_find(found.samples.begin(), found.samples.end(), unwatched);
  if (slept == found.samples.end()) return "";
  return fmt::format("nobody watched its discharge for {} before it was cut short",
                     duration_text((slept + 1)->time_s - slept->time_s));
}

std::string objection_to_step(const reports::RunRecord& record, const CutShort& found) {
  if (record.steps.empty() || record.samples.empty()) return "nothing had been measured yet";
  if (const auto defect = analysis::defect_of(found.recording)) return *defect;
  const StepRow& step = record.steps.back();
  if (step.end != StepEnd::interrupted) return "it was cut short between two steps";
  if (step.kind != StepKind::capacity)
    return fmt::format("it was cut short in a {} step; only a capacity step can go on",
                       analysis::name_of(step.kind));
  if (!step.why.empty() && step.why != kDied)
    return fmt::format("it had been stopped already: {}", step.why);
  if (found.drawn == nullptr) return "its discharge had hardly begun";
  const auto& pack = found.recording.pack;
  const bool ended = std::any_of(found.samples.begin(), found.samples.end(),
                                 [&](const Sample& s) { return end_reached(s, pack).has_value(); });
  return ended ? "its discharge had reached the end already" : objection_to_watch(found);
}

/// Seconds since 1970.
std::optional<double> seconds_of(const std::string& utc) {
  const auto time = reports::iso_time(utc);
  if (!time) return std::nullopt;
  const auto days = static_cast<double>(reports::days_between({1970, 1, 1}, time->date));
  return days * 86400.0 + time->hour * 3600.0 + time->minute * 60.0 + time->second;
}

/// Now, in the run's own time: the stamp was taken just before the first sample, and cut to whole
/// seconds.
std::optional<double> run_time_s(const reports::RunRecord& record,
                                 std::chrono::system_clock::time_point utc) {
  const auto began = seconds_of(record.header.utc);
  if (!began) return std::nullopt;
  const double now = std::chrono::duration<double>(utc.time_since_epoch()).count();
  return record.samples.front().time_s + now - *began - 0.5;
}

std::string objection_to_time(double gap_s) {
  if (gap_s < -kClockSetBack_s)
    return "by this computer's clock its last sample is still to come; set the clock";
  if (gap_s > kLongestGap_s)
    return fmt::format("it was cut short {} ago; at most {} are accepted", duration_text(gap_s),
                       duration_text(kLongestGap_s));
  return "";
}

/// Rows of recharges are not of the plan; all others are, in its order.
std::size_t plan_step_of(const reports::RunRecord& record) {
  const auto before = record.steps.end() - 1;
  return static_cast<std::size_t>(
      std::count_if(record.steps.begin(), before,
                    [](const StepRow& row) { return row.kind != StepKind::recharge; }));
}

double reference_ah(const reports::RunRecord& record, double rated_ah) {
  double reference = rated_ah;
  for (std::size_t i = 0; i + 1 < record.steps.size(); ++i) {
    const double removed = record.steps[i + 1].charge_before_ah - record.steps[i].charge_before_ah;
    if (record.steps[i].kind == StepKind::capacity && removed > kLeastShare * rated_ah)
      reference = removed;
  }
  return reference;
}

/// At most: of every gap since the step began all that may have flowed.
double removed_ah(const CutShort& found, const Gap& gap) {
  const analysis::ChargeState charge(found.recording, found.recording.pack.rated_capacity_ah);
  double removed = charge.removed_ah(found.recording.samples.size() - 1);
  for (const Gap& earlier : found.recording.gaps)
    if (earlier.start_s >= found.samples.front().time_s &&
        earlier.end_s <= found.samples.back().time_s)
      removed += half_width_ah(earlier);
  return removed + most_ah(gap);
}

/// `gap_s` since the last sample. A program that went on before and died before its first sample
/// never switched the load on: its gap only grows.
Gap gap_of(const CutShort& found, double gap_s, double watchdog_s) {
  const Sample& last = found.recording.samples.back();
  const double end_s = last.time_s + gap_s;
  if (!found.recording.gaps.empty() && found.recording.gaps.back().end_s > last.time_s) {
    Gap longer = found.recording.gaps.back();
    longer.end_s = std::max(longer.end_s, end_s);
    return longer;
  }
  return {last.time_s, end_s, found.drawn->current_a,
          std::min(gap_s + kCalendarDoubt_s, watchdog_s + kUnwritten_s), kDied};
}

std::string objection_to_pack(const CutShort& found, const Sample& look, const Gap& gap) {
  const auto& recording = found.recording;
  const double doubt_v = analysis::voltage_term(recording.accuracy).half_width(look.voltage_v);
  const double brought_v = recording.samples.front().voltage_v;
  const double end_v = analysis::end_of_discharge_voltage_v(recording.pack);
  if (look.voltage_v > brought_v + doubt_v)
    return fmt::format(
        "the pack stands at {:.2f} V, above the {:.2f} V it had when the run began: "
        "it was charged meanwhile",
        look.voltage_v, brought_v);
  if (look.voltage_v <= end_v)
    return fmt::format("the pack stands at {:.2f} V, not above its end of discharge, {:.2f} V",
                       look.voltage_v, end_v);
  const bool small = most_ah(gap) <= kSmallShare * recording.pack.rated_capacity_ah;
  if (small && look.voltage_v < found.drawn->voltage_v - doubt_v)
    return fmt::format(
        "the pack stands at {:.2f} V, below the {:.2f} V it had under load: "
        "something else drew from it meanwhile",
        look.voltage_v, found.drawn->voltage_v);
  return "";
}

Continuation going_on(const reports::RunRecord& record, const CutShort& found, const Gap& gap) {
  Continuation go;
  go.plan_step = plan_step_of(record);
  go.row = found.row;
  go.step = record.steps.back();
  go.step.why.clear();
  go.gap = gap;
  go.now_s = go.gap.end_s;
  const bool grown = !record.gaps.empty() && record.gaps.back().start_s == go.gap.start_s;
  go.gap_index = static_cast<int>(record.gaps.size()) - (grown ? 1 : 0);
  go.charge_removed_ah = removed_ah(found, gap);
  go.reference_capacity_ah = reference_ah(record, found.recording.pack.rated_capacity_ah);
  go.brought_v = found.recording.samples.front().voltage_v;
  return go;
}

}  // namespace

Finding<Continuation> continuation_of(const reports::RunRecord& record, const AtHand& now,
                                      const std::optional<std::string>& run_since) {
  if (now.simulated_anew) return Missing::missing("its simulated pack went with the program");
  if (auto other = difference(record.header, now); !other.empty())
    return Missing::missing(std::move(other));
  if (run_since)
    return Missing::missing(fmt::format("run {} was begun on the pack since", *run_since));
  const CutShort found = cut_short(record);
  if (auto why = objection_to_step(record, found); !why.empty())
    return Missing::missing(std::move(why));
  if (!now.watchdog_s)
    return Missing::missing("the load has no watchdog: nobody knows how long it went on drawing");
  const auto now_s = run_time_s(record, now.utc);
  if (!now_s) return Missing::missing("its start time cannot be read");
  const double gap_s = *now_s - found.recording.samples.back().time_s;
  if (auto why = objection_to_time(gap_s); !why.empty()) return Missing::missing(std::move(why));
  const Gap gap = gap_of(found, std::max(gap_s, kShortestGap_s), *now.watchdog_s);
  if (auto why = objection_to_pack(found, now.look, gap); !why.empty())
    return Missing::missing(std::move(why));
  return going_on(record, found, gap);
}

}  // namespace sagbench::bench
