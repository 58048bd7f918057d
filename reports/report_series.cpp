#include "reports/report_series.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>

#include "analysis/charge_integral.hpp"
#include "analysis/radio_stage.hpp"
#include "reports/strongest_radio.hpp"
#include "reports/thinning.hpp"

namespace sagbench::reports {
namespace {

using analysis::Recording;
using analysis::Sample;
using analysis::Step;
using analysis::StepKind;

constexpr double kPenUp = std::numeric_limits<double>::quiet_NaN();
constexpr double kMinute = 60.0;

// A gap this long is a pause: visible in the picture, and not just slow sampling.
double pause_s(const std::vector<Sample>& samples) {
  constexpr double kShareOfRun = 0.03, kIntervals = 5.0;
  const double span = samples.back().time_s - samples.front().time_s;
  return span * std::max(kShareOfRun, kIntervals / static_cast<double>(samples.size()));
}

template <class Value>
std::vector<Point> over_time(const Recording& recording, const TimeUnit& unit, Value value) {
  if (recording.samples.empty()) return {};
  PointThinner points(recording.samples.size());
  const double pause = pause_s(recording.samples);
  const Sample* previous = &recording.samples.front();
  for (const Sample& sample : recording.samples) {
    const double x = sample.time_s / unit.seconds;
    const bool paused = sample.time_s - previous->time_s > pause;
    if (paused || gap_between(recording.gaps, *previous, sample) != nullptr)
      points.add({x, kPenUp});
    if (const std::optional<double> y = value(sample)) points.add({x, *y});
    previous = &sample;
  }
  return points.take();
}

std::span<const Sample> samples_of(const Recording& recording, int step) {
  const auto of_step = [step](const Sample& sample) { return sample.step == step; };
  const auto begin = std::find_if(recording.samples.begin(), recording.samples.end(), of_step);
  const auto end = std::find_if_not(begin, recording.samples.end(), of_step);
  return {recording.samples.data() + (begin - recording.samples.begin()),
          static_cast<std::size_t>(end - begin)};
}

// The step whose discharge is drawn: the measured capacity's, else the first that could have given
// one.
std::optional<int> discharge_step(const Recording& recording, const analysis::Figures& figures) {
  if (figures.capacity) return figures.capacity->step;
  for (std::size_t i = 0; i < recording.steps.size(); ++i) {
    const StepKind kind = recording.steps[i].kind;
    const bool discharges = kind == StepKind::capacity || kind == StepKind::imported;
    if (discharges && !samples_of(recording, static_cast<int>(i)).empty()) {
      return static_cast<int>(i);
    }
  }
  return std::nullopt;
}

// Currents below this are a rest, in either direction.
double idle_a(std::span<const Sample> samples) {
  constexpr double kShareOfPeak = 0.01;
  double peak = 0.0;
  for (const Sample& sample : samples) peak = std::max(peak, sample.current_a);
  return peak * kShareOfPeak;
}

double charge_between_ah(const Sample& a, const Sample& b) {
  return (a.current_a + b.current_a) / 2 * (b.time_s - a.time_s) / 3600.0;
}

// Charge against voltage of one stretch; rests before and after it cut off. A gap breaks it, and
// the look at the resting pack behind the gap is left out.
std::vector<Point> stretch_curve(std::span<const Sample> samples, double idle,
                                 std::span<const analysis::Gap> gaps) {
  const auto drawing = [idle](const Sample& sample) { return sample.current_a > idle; };
  const auto first = std::find_if(samples.begin(), samples.end(), drawing);
  const auto last = std::find_if(samples.rbegin(), samples.rend(), drawing).base();
  std::vector<Point> points;
  double charge_ah = 0.0;
  for (auto at = first; at < last; ++at) {
    const auto* const gap = at == first ? nullptr : gap_between(gaps, *(at - 1), *at);
    if (gap != nullptr) {
      charge_ah += middle_ah(*gap);
      points.push_back({charge_ah, kPenUp});
    } else if (at != first) {
      charge_ah += charge_between_ah(*(at - 1), *at);
    }
    if (gaps.empty() || at->phase != analysis::Phase::rest)
      points.push_back({charge_ah, at->voltage_v});
  }
  return points;
}

// Cuts where the pack was charged by more than `pulse_ah`: up to that, a charge is a pulse of the
// test itself.
std::vector<std::span<const Sample>> stretches(std::span<const Sample> samples, double pulse_ah) {
  std::vector<std::span<const Sample>> result;
  std::size_t begin = 0, charge_begin = 0;
  double charged_ah = 0.0;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const double flow_ah = charge_between_ah(samples[i - 1], samples[i]);
    if (flow_ah >= 0.0) {
      if (charged_ah > pulse_ah) begin = i;
      charged_ah = 0.0;
      continue;
    }
    if (charged_ah == 0.0) charge_begin = i;
    const bool was_pulse = charged_ah <= pulse_ah;
    charged_ah -= flow_ah;
    if (was_pulse && charged_ah > pulse_ah && charge_begin > begin) {
      result.push_back(samples.subspan(begin, charge_begin - begin));
    }
  }
  if (charged_ah <= pulse_ah) result.push_back(samples.subspan(begin));
  return result;
}

double charge_of(const std::vector<Point>& curve) {
  return curve.empty() ? 0.0 : curve.back().x;
}

// The transmit sample nearest to the middle of a step.
std::optional<double> mid_transmit_s(std::span<const Sample> samples) {
  if (samples.empty()) return std::nullopt;
  const double middle = (samples.front().time_s + samples.back().time_s) / 2;
  std::optional<double> nearest;
  for (const Sample& sample : samples) {
    if (sample.phase != analysis::Phase::transmit) continue;
    if (!nearest || std::abs(sample.time_s - middle) < std::abs(*nearest - middle)) {
      nearest = sample.time_s;
    }
  }
  return nearest;
}

AirMinute cut_minute(std::span<const Sample> samples, const Step& step, int index, double centre) {
  const double last = std::max(samples.front().time_s, samples.back().time_s - kMinute);
  const double from = std::clamp(centre - kMinute / 2, samples.front().time_s, last);
  AirMinute minute{index, *step.radio, step.mode, from, {}, {}};
  for (const Sample& sample : samples) {
    if (sample.time_s < from || sample.time_s > from + kMinute) continue;
    const double x = sample.time_s - from;
    minute.supply_v.push_back(
        {x, supply_at_radio_v(*step.radio, sample.voltage_v, sample.current_a)});
    minute.current_a.push_back({x, sample.current_a});
  }
  return minute;
}

}  // namespace

TimeUnit time_unit(double span_s) {
  if (span_s > 2.5 * 3600.0) return {3600.0, "h"};
  if (span_s > 2.5 * kMinute) return {kMinute, "min"};
  return {1.0, "s"};
}

std::vector<Point> voltage_over_time(const Recording& recording, const TimeUnit& unit) {
  return over_time(recording, unit,
                   [](const Sample& sample) { return std::optional(sample.voltage_v); });
}

std::vector<Point> current_over_time(const Recording& recording, const TimeUnit& unit) {
  return over_time(recording, unit,
                   [](const Sample& sample) { return std::optional(sample.current_a); });
}

std::vector<Point> temperature_over_time(const Recording& recording, const TimeUnit& unit) {
  return over_time(recording, unit, [](const Sample& sample) { return sample.temperature_c; });
}

std::vector<Point> discharge_curve(const Recording& recording, const analysis::Figures& figures) {
  const auto step = discharge_step(recording, figures);
  if (!step) return {};
  const auto samples = samples_of(recording, *step);
  constexpr double kPulseShare = 0.01;  // of the rated capacity, as the analysis takes it
  const double pulse_ah = kPulseShare * recording.pack.rated_capacity_ah;
  // How far a curve is from the discharge the capacity was taken from; without a capacity, the
  // longest wins.
  const auto distance = [&](const std::vector<Point>& curve) {
    if (!figures.capacity) return -charge_of(curve);
    return std::abs(charge_of(curve) - figures.capacity->charge_ah.value);
  };
  std::vector<Point> chosen;
  for (const auto stretch : stretches(samples, pulse_ah)) {
    auto curve = stretch_curve(stretch, idle_a(samples), recording.gaps);
    if (distance(curve) < distance(chosen)) chosen = std::move(curve);
  }
  return chosen;
}

std::optional<AirMinute> air_minute(const Recording& recording) {
  return of_strongest_radio<AirMinute>(recording, [&](const Step& step, int index) {
    const auto samples = samples_of(recording, index);
    const auto centre = mid_transmit_s(samples);
    return centre ? std::optional(cut_minute(samples, step, index, *centre)) : std::nullopt;
  });
}

}  // namespace sagbench::reports
