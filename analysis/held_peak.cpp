#include "analysis/held_peak.hpp"

#include <algorithm>
#include <span>
#include <string>
#include <string_view>

#include "analysis/charge_integral.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/sag_points.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::string_view kInterrupted = "the run was interrupted";

/// Samples [first, last) of the recording, all of one peak.
struct Hold {
  std::size_t first;
  std::size_t last;
};

bool same_hold(const Sample& left, const Sample& right) {
  return right.phase == Phase::peak && right.step == left.step &&
         right.commanded_a == left.commanded_a;
}

std::size_t end_of_hold(std::span<const Sample> samples, std::size_t first) {
  std::size_t last = first + 1;
  while (last < samples.size() && same_hold(samples[last - 1], samples[last])) ++last;
  return last;
}

/// The peak's end: where the next setpoint took effect, or its last sample.
double end_s(std::span<const Sample> samples, const Hold& hold) {
  const double last_s = samples[hold.last - 1].time_s;
  if (hold.last == samples.size()) return last_s;
  const Sample& next = samples[hold.last];
  return std::max(last_s, std::min(next.commanded_since_s.value_or(last_s), next.time_s));
}

std::optional<double> voltage_after(std::span<const Sample> held, double after_s) {
  const double time_s = setpoint_since_s(held.front()) + after_s;
  if (time_s < held.front().time_s || time_s > held.back().time_s) return std::nullopt;
  return voltage_at(held, time_s);
}

std::span<const Sample> recovery_after(std::span<const Sample> samples, const Hold& hold) {
  std::size_t last = hold.last;
  while (last < samples.size() && samples[last].phase == Phase::recovery) ++last;
  return samples.subspan(hold.last, last - hold.last);
}

/// Why the peak was let go early; empty when it was held.
std::string let_go(const Recording& recording, const Hold& hold, bool opened) {
  const Sample& last = recording.samples[hold.last - 1];
  if (opened) return "the protection board opened";
  if (last.voltage_v <= end_of_discharge_voltage_v(recording.pack))
    return "the end-of-discharge voltage was reached";
  if (!last.cell_v.empty() &&
      *std::ranges::min_element(last.cell_v) <= cell_end_of_discharge_v(recording.pack))
    return "a cell reached its end-of-discharge voltage";
  const bool run_ended =
      hold.last == recording.samples.size() || recording.samples[hold.last].step != last.step;
  if (run_ended && recording.steps[static_cast<std::size_t>(last.step)].end == StepEnd::interrupted)
    return std::string(kInterrupted);
  return "";
}

double noise_v(std::span<const Sample> held) {
  std::vector<Reading> readings;
  for (const Sample& sample : held) readings.push_back({sample.time_s, sample.voltage_v});
  return scatter(readings);
}

std::optional<HeldPeak> held_peak(const Recording& recording, const ChargeState& charge,
                                  const Hold& hold) {
  const std::span<const Sample> samples = recording.samples;
  auto held = samples.subspan(hold.first, hold.last - hold.first);
  const auto open = std::find_if(held.begin(), held.end(), board_open);
  const bool opened = open != held.end();
  held = {held.begin(), open};  // a pack behind an open board shows no sag
  if (held.empty() && hold.first == 0) return std::nullopt;

  const bool has_before =
      hold.first > 0 && samples[hold.first - 1].step == samples[hold.first].step;
  const Sample& first = samples[hold.first];
  const Sample& before = has_before ? samples[hold.first - 1] : first;
  HeldPeak result;
  result.step = first.step;
  result.board_opened = opened;
  result.before_a = before.current_a;
  Peak& peak = result.peak;
  peak.charge = charge.charge(has_before ? hold.first - 1 : hold.first);
  peak.edge_s = setpoint_since_s(first);
  peak.asked_a = first.commanded_a;
  peak.rest_v = before.voltage_v;
  peak.first_v = peak.lowest_v = before.voltage_v;
  peak.ended = let_go(recording, hold, opened);
  peak.full_hold = peak.ended.empty();
  result.pack_refused = !peak.full_hold && peak.ended != kInterrupted;
  if (!held.empty()) {
    const double until_s = opened ? held.back().time_s : end_s(samples, hold);
    const Flow total = flow(held, setpoint_since_s(first), held.back().time_s);
    peak.held_s = until_s - setpoint_since_s(first);
    peak.current_a =
        total.duration_s > 0.0 ? total.charge_ah * 3600.0 / total.duration_s : first.current_a;
    peak.first_v = first.voltage_v;
    peak.first_after_s = first.time_s - setpoint_since_s(first);
    peak.after_1s_v = voltage_after(held, 1.0);
    peak.lowest_v = std::ranges::min_element(held, {}, &Sample::voltage_v)->voltage_v;
    result.temperature_c = mean_temperature_c(held);
    result.noise_v = noise_v(held);
  }
  const auto recovery = recovery_after(samples, hold);
  peak.recovered_v = recovery.empty() ? peak.lowest_v : recovery.back().voltage_v;
  peak.sag = sag_points(held, setpoint_since_s(first), peak.rest_v, kSagTimes_s);
  // Behind an open board the voltage says nothing of the cells, and they were released by it.
  if (!recovery.empty() && !opened)
    peak.recovery =
        sag_points(recovery, setpoint_since_s(recovery.front()), peak.rest_v, kRecoveryTimes_s);
  return result;
}

}  // namespace

std::vector<HeldPeak> held_peaks(const Recording& recording, const ChargeState& charge) {
  const std::span<const Sample> samples = recording.samples;
  std::vector<HeldPeak> peaks;
  int visit = 0;
  std::size_t i = 0;
  while (i < samples.size()) {
    const bool travels = samples[i].phase == Phase::discharge && samples[i].commanded_a > 0.0;
    const bool new_step = i > 0 && samples[i].step != samples[i - 1].step;
    if (travels || new_step) ++visit;
    if (samples[i].phase != Phase::peak || samples[i].commanded_a <= 0.0) {
      ++i;
      continue;
    }
    const Hold hold{i, end_of_hold(samples, i)};
    if (auto peak = held_peak(recording, charge, hold)) {
      peak->visit = visit;
      peaks.push_back(*std::move(peak));
    }
    i = hold.last;
  }
  return peaks;
}

}  // namespace sagbench::analysis
