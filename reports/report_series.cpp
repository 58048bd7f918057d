#include "reports/report_series.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>

namespace sagbench::reports {
namespace {

using analysis::Recording;
using analysis::Sample;
using analysis::Step;
using analysis::StepKind;

constexpr double kPenUp = std::numeric_limits<double>::quiet_NaN();
constexpr double kMinute = 60.0;

// A gap this long in comparison with the run is a pause, not slow sampling.
double pause_s(const std::vector<Sample>& samples) {
  constexpr double kShareOfRun = 0.03;
  return (samples.back().time_s - samples.front().time_s) * kShareOfRun;
}

template <class Value>
std::vector<Point> over_time(const Recording& recording, const TimeUnit& unit, Value value) {
  std::vector<Point> points;
  if (recording.samples.empty()) return points;
  points.reserve(recording.samples.size());
  const double pause = pause_s(recording.samples);
  double previous = recording.samples.front().time_s;
  for (const Sample& sample : recording.samples) {
    const double x = sample.time_s / unit.seconds;
    if (sample.time_s - previous > pause) points.push_back({x, kPenUp});
    points.push_back({x, value(sample)});
    previous = sample.time_s;
  }
  return points;
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

// Charge against voltage of one stretch without charging; rests before and after it cut off.
std::vector<Point> stretch_curve(std::span<const Sample> samples, double idle) {
  const auto drawing = [idle](const Sample& sample) { return sample.current_a > idle; };
  const auto first = std::find_if(samples.begin(), samples.end(), drawing);
  const auto last = std::find_if(samples.rbegin(), samples.rend(), drawing).base();
  std::vector<Point> points;
  double charge_ah = 0.0;
  for (auto at = first; at < last; ++at) {
    if (at != first) {
      const double mean_a = (at->current_a + (at - 1)->current_a) / 2;
      charge_ah += std::max(0.0, mean_a) * (at->time_s - (at - 1)->time_s) / 3600.0;
    }
    points.push_back({charge_ah, at->voltage_v});
  }
  return points;
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
    minute.supply_v.push_back({x, sample.voltage_v - sample.current_a * step.radio->cable_ohm});
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
  return over_time(recording, unit, [](const Sample& sample) { return sample.voltage_v; });
}

std::vector<Point> current_over_time(const Recording& recording, const TimeUnit& unit) {
  return over_time(recording, unit, [](const Sample& sample) { return sample.current_a; });
}

std::vector<Point> discharge_curve(const Recording& recording, const analysis::Figures& figures) {
  const auto step = discharge_step(recording, figures);
  if (!step) return {};
  const auto samples = samples_of(recording, *step);
  const double idle = idle_a(samples);
  std::vector<Point> longest;
  auto begin = samples.begin();
  while (begin != samples.end()) {
    const auto charging = [idle](const Sample& sample) { return sample.current_a < -idle; };
    const auto end = std::find_if(begin, samples.end(), charging);
    auto curve = stretch_curve({begin, end}, idle);
    if (charge_of(curve) > charge_of(longest)) longest = std::move(curve);
    begin = std::find_if_not(end, samples.end(), charging);
  }
  return longest;
}

std::optional<AirMinute> air_minute(const Recording& recording) {
  std::optional<AirMinute> chosen;
  for (std::size_t i = 0; i < recording.steps.size(); ++i) {
    const Step& step = recording.steps[i];
    if (step.kind != StepKind::transmit || !step.radio) continue;
    if (chosen && step.radio->transmit_peak_a <= chosen->radio.transmit_peak_a) continue;
    const auto samples = samples_of(recording, static_cast<int>(i));
    if (const auto centre = mid_transmit_s(samples)) {
      chosen = cut_minute(samples, step, static_cast<int>(i), *centre);
    }
  }
  return chosen;
}

}  // namespace sagbench::reports
