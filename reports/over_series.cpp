#include "reports/over_series.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "analysis/sample_series.hpp"
#include "reports/strongest_radio.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Sample;
using analysis::Step;

constexpr std::size_t kLeastSamples = 3;
constexpr double kAround_s = 1.5;  // of receiving, before and after an over
constexpr double kLongestOver_s = 20.0;
constexpr double kBeforeRise_s = 0.2;
constexpr double kMoment_s = 0.8;  // of a syllable or some key-downs

struct Stretch {
  std::size_t first = 0, last = 0;  // samples [first, last) of the step
};

std::vector<Stretch> overs(std::span<const Sample> samples) {
  std::vector<Stretch> found;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i].phase != Phase::transmit) continue;
    if (found.empty() || found.back().last != i) found.push_back({i, i});
    found.back().last = i + 1;
  }
  std::erase_if(found, [](const Stretch& over) { return over.last - over.first < kLeastSamples; });
  return found;
}

Stretch next_to_the_middle(std::span<const Sample> samples, const std::vector<Stretch>& overs) {
  const double middle_s = (samples.front().time_s + samples.back().time_s) / 2.0;
  const auto distance_s = [&](const Stretch& over) {
    return std::abs(samples[over.first].time_s - middle_s);
  };
  return *std::ranges::min_element(overs, {}, distance_s);
}

/// When the setpoint rose most in [from_s, to_s].
double greatest_rise_s(std::span<const Sample> samples, double from_s, double to_s) {
  double rise_a = -1.0, at_s = from_s;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const double change_a = samples[i].commanded_a - samples[i - 1].commanded_a;
    if (setpoint_since_s(samples[i]) < from_s || setpoint_since_s(samples[i]) > to_s ||
        change_a <= rise_a)
      continue;
    rise_a = change_a;
    at_s = setpoint_since_s(samples[i]);
  }
  return at_s;
}

/// The setpoint holds from where it took effect to where the next one did.
void add_setpoint(std::vector<Point>& asked, const Sample& sample, double from_s) {
  const double edge = std::max(0.0, setpoint_since_s(sample) - from_s);
  if (!asked.empty() && asked.back().y != sample.commanded_a) {
    asked.push_back({edge, asked.back().y});
    asked.push_back({edge, sample.commanded_a});
  }
  asked.push_back({sample.time_s - from_s, sample.commanded_a});
}

/// What the radio asked for in [from_s, to_s], where the record holds it.
std::vector<Point> asked_by_radio(std::span<const analysis::AskedCurrent> asked, double from_s,
                                  double to_s) {
  std::vector<Point> steps;
  double current_a = 0.0;
  const auto go_to = [&](double time_s, double next_a) {
    const double x = std::clamp(time_s, from_s, to_s) - from_s;
    if (steps.empty() || steps.back().x < x) steps.push_back({x, current_a});
    if (next_a != current_a) steps.push_back({x, next_a});
    current_a = next_a;
  };
  for (const analysis::AskedCurrent& edge : asked) {
    if (edge.start_s > to_s) break;
    if (edge.start_s < from_s)
      current_a = edge.current_a;
    else
      go_to(edge.start_s, edge.current_a);
  }
  if (steps.empty() || steps.front().x > 0.0)
    steps.insert(steps.begin(), {0.0, steps.empty() ? current_a : steps.front().y});
  go_to(to_s, current_a);
  return steps;
}

CloseLook look_at(const Step& step, std::span<const Sample> samples, double from_s, double to_s) {
  CloseLook look{from_s, {}, {}, {}};
  for (const Sample& sample : samples) {
    if (sample.time_s < from_s || sample.time_s > to_s) continue;
    const double x = sample.time_s - from_s;
    if (step.asked.empty()) add_setpoint(look.asked_a, sample, from_s);
    look.delivered_a.push_back({x, sample.current_a});
    look.pack_v.push_back({x, sample.voltage_v});
  }
  if (!step.asked.empty()) look.asked_a = asked_by_radio(step.asked, from_s, to_s);
  return look;
}

std::optional<OverPictures> pictures_of(std::span<const Sample> samples, const Step& step,
                                        int index) {
  const auto all = overs(samples);
  if (all.empty()) return std::nullopt;
  const Stretch over = next_to_the_middle(samples, all);
  const double begins_s = samples[over.first].time_s;
  const double ends_s = std::min(samples[over.last - 1].time_s, begins_s + kLongestOver_s);
  const double rise_s = greatest_rise_s(samples, begins_s - kAround_s, ends_s);
  const double moment_s = rise_s - kBeforeRise_s;
  return OverPictures{index, *step.radio, step.mode,
                      look_at(step, samples, begins_s - kAround_s, ends_s + kAround_s),
                      look_at(step, samples, moment_s, moment_s + kMoment_s)};
}

}  // namespace

std::optional<OverPictures> over_pictures(const analysis::Recording& recording) {
  return of_strongest_radio<OverPictures>(recording, [&](const Step& step, int index) {
    return pictures_of(analysis::samples_of(recording, index), step, index);
  });
}

}  // namespace sagbench::reports
