#include "analysis/delivery.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/charge_integral.hpp"
#include "analysis/edge_timing.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSecondsPerHour = 3600.0;

struct Span {
  double from_s, to_s;
  double seconds() const { return to_s - from_s; }
};

/// Calls `visit` with each asked current within `span` and for how long.
template <class Visit>
void visit_asked(std::span<const AskedCurrent> asked, const Span& span, Visit visit) {
  for (std::size_t i = 0; i < asked.size(); ++i) {
    const double end_s = i + 1 < asked.size() ? asked[i + 1].start_s : span.to_s;
    const double seconds = std::min(end_s, span.to_s) - std::max(asked[i].start_s, span.from_s);
    if (seconds > 0.0) visit(asked[i].current_a, seconds);
  }
}

struct Levels {
  double least_a, highest_a;
  double middle_a() const { return (least_a + highest_a) / 2.0; }
};

Levels levels_of(std::span<const AskedCurrent> asked, const Span& span) {
  Levels levels{HUGE_VAL, 0.0};
  visit_asked(asked, span, [&](double current_a, double) {
    levels.least_a = std::min(levels.least_a, current_a);
    levels.highest_a = std::max(levels.highest_a, current_a);
  });
  return levels;
}

CurrentFigures asked_figures(std::span<const AskedCurrent> asked, const Span& span) {
  CurrentFigures figures;
  double square_a2s = 0.0;
  visit_asked(asked, span, [&](double current_a, double seconds) {
    figures.duration_s += seconds;
    figures.mean_a += current_a * seconds;
    square_a2s += current_a * current_a * seconds;
    figures.peak_a = std::max(figures.peak_a, current_a);
  });
  figures.mean_a /= figures.duration_s;
  figures.rms_a = std::sqrt(square_a2s / figures.duration_s);
  return figures;
}

CurrentFigures delivered_figures(std::span<const Sample> samples, std::span<const Gap> gaps,
                                 const Span& span) {
  const Flow flowed = flow(samples, span.from_s, span.to_s, gaps);
  CurrentFigures figures;
  figures.duration_s = flowed.duration_s;
  figures.mean_a = flowed.charge_ah * kSecondsPerHour / flowed.duration_s;
  figures.rms_a = std::sqrt(flowed.square_a2s / flowed.duration_s);
  for (const Sample& sample : samples)
    if (sample.time_s >= span.from_s && sample.time_s <= span.to_s)
      figures.peak_a = std::max(figures.peak_a, sample.current_a);
  return figures;
}

double asked_above(std::span<const AskedCurrent> asked, const Span& span, double threshold_a) {
  double seconds = 0.0;
  visit_asked(asked, span, [&](double current_a, double length_s) {
    if (current_a > threshold_a) seconds += length_s;
  });
  return seconds / span.seconds();
}

/// Time above the threshold while the current runs straight from `from_a` to `to_a`.
double above_s(double from_a, double to_a, double seconds, double threshold_a) {
  const double low = std::min(from_a, to_a), high = std::max(from_a, to_a);
  if (low >= threshold_a) return low > threshold_a || high > threshold_a ? seconds : 0.0;
  if (high <= threshold_a) return 0.0;
  return seconds * (high - threshold_a) / (high - low);
}

/// Between samples as flow() has it: straight, or in two halves about a change of the setpoint.
double delivered_above(std::span<const Sample> samples, const Span& span, double threshold_a) {
  double above = 0.0, seen = 0.0;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const Sample& left = samples[i - 1];
    const Sample& right = samples[i];
    if (left.time_s < span.from_s || right.time_s > span.to_s) continue;
    seen += right.time_s - left.time_s;
    if (const auto edge_s = setpoint_edge(left, right)) {
      if (left.current_a > threshold_a) above += *edge_s - left.time_s;
      if (right.current_a > threshold_a) above += right.time_s - *edge_s;
    } else {
      above += above_s(left.current_a, right.current_a, right.time_s - left.time_s, threshold_a);
    }
  }
  return seen > 0.0 ? above / seen : 0.0;
}

}  // namespace

Finding<Delivery> delivery(std::span<const AskedCurrent> asked, double end_s,
                           std::span<const Sample> samples, std::span<const Gap> gaps) {
  if (asked.empty()) return Finding<Delivery>::missing("no pattern was asked for");
  if (samples.size() < 2) return Finding<Delivery>::missing("fewer than two samples of it");
  const double first_s = setpoint_since_s(samples.front());
  const Span span{std::max(asked.front().start_s, first_s), std::min(end_s, samples.back().time_s)};
  if (!(span.seconds() > 0.0))
    return Finding<Delivery>::missing("the samples do not fall into its time");
  const Levels levels = levels_of(asked, span);
  Delivery result;
  result.asked = asked_figures(asked, span);
  result.delivered = delivered_figures(samples, gaps, span);
  result.asked_key_down = asked_above(asked, span, levels.middle_a());
  result.delivered_key_down = delivered_above(samples, span, levels.middle_a());
  result.edges =
      edge_timing(asked, span.from_s, span.to_s, levels.highest_a - levels.least_a, samples);
  return result;
}

}  // namespace sagbench::analysis
