#include "analysis/two_current_resistance.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "analysis/sample_series.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kBestCharge = 0.5;
// "At the end of the hold" is its last tenth: about the tolerance of +/-0.1 s on 1 s.
constexpr double kEndShare = 0.1;
// Currents closer than this share of the larger one give a difference that is mostly error.
constexpr double kLeastDifference = 0.1;

/// Means over the end of one hold, and the noise of one reading.
struct HoldEnd {
  double voltage_v = 0.0;
  double current_a = 0.0;
  int readings = 0;
  double scatter_v = 0.0;
  double scatter_a = 0.0;
};

HoldEnd end_of(std::span<const Sample> hold) {
  const double start_s = setpoint_since_s(hold.front());
  const double last_s = hold.back().time_s;
  const double from_s = last_s - kEndShare * (last_s - start_s);
  HoldEnd end;
  std::vector<Reading> voltages;
  std::vector<Reading> currents;
  for (const Sample& sample : hold) {
    if (sample.time_s >= (start_s + last_s) / 2.0) {  // the bend after the edge is no noise
      voltages.push_back({sample.time_s, sample.voltage_v});
      currents.push_back({sample.time_s, sample.current_a});
    }
    if (sample.time_s < from_s) continue;
    end.voltage_v += sample.voltage_v;
    end.current_a += sample.current_a;
    ++end.readings;
  }
  end.voltage_v /= end.readings;
  end.current_a /= end.readings;
  end.scatter_v = scatter(voltages);
  end.scatter_a = scatter(currents);
  return end;
}

double standard_uncertainty_ohm(const BenchAccuracy& accuracy, const HoldEnd& low,
                                const HoldEnd& high, double ohm) {
  const double difference_a = high.current_a - low.current_a;
  // The longer hold tells the noise; the short one may hold too few readings to.
  const double share = std::sqrt(1.0 / low.readings + 1.0 / high.readings);
  const double noise_v = std::max(low.scatter_v, high.scatter_v) * share / difference_a;
  const double noise_a = std::max(low.scatter_a, high.scatter_a) * share * ohm / difference_a;
  const double gain_v = rectangular(voltage_term(accuracy).of_reading * ohm);
  const double gain_a = rectangular(accuracy.load_current.of_reading * ohm);
  const double leads = rectangular(leads_half_width_ohm(accuracy));
  return std::sqrt(noise_v * noise_v + noise_a * noise_a + gain_v * gain_v + gain_a * gain_a +
                   leads * leads);
}

std::optional<Resistance> resistance_of(const BenchAccuracy& accuracy, std::span<const Sample> low,
                                        std::span<const Sample> high) {
  for (const auto hold : {low, high})
    for (const Sample& sample : hold)
      if (board_open(sample)) return std::nullopt;
  const HoldEnd first = end_of(low);
  const HoldEnd second = end_of(high);
  if (second.current_a - first.current_a <= kLeastDifference * second.current_a)
    return std::nullopt;
  const double ohm = (first.voltage_v - second.voltage_v) / (second.current_a - first.current_a);
  const double u = standard_uncertainty_ohm(accuracy, first, second, ohm);
  Resistance result;
  result.ohm = {ohm, kCoverageFactor * u, kCoverageFactor};
  result.method = "IEC 61960-3";
  return result;
}

std::size_t end_of_phase(std::span<const Sample> samples, std::size_t first) {
  std::size_t last = first;
  while (last < samples.size() && samples[last].phase == samples[first].phase &&
         samples[last].step == samples[first].step)
    ++last;
  return last;
}

}  // namespace

Finding<Resistance> two_current_resistance(const Recording& recording, const ChargeState& charge) {
  const std::span<const Sample> samples = recording.samples;
  std::optional<Resistance> best;
  bool tried = false;
  std::size_t i = 0;
  while (i < samples.size()) {
    const std::size_t middle = end_of_phase(samples, i);
    const std::size_t first = i;
    i = middle;
    if (samples[first].phase != Phase::low_current || middle == samples.size()) continue;
    if (samples[middle].phase != Phase::high_current || samples[middle].step != samples[first].step)
      continue;
    tried = true;
    const std::size_t last = end_of_phase(samples, middle);
    auto found = resistance_of(recording.accuracy, samples.subspan(first, middle - first),
                               samples.subspan(middle, last - middle));
    if (!found) continue;
    found->charge = charge.charge(middle);
    if (!best || std::abs(*found->charge - kBestCharge) < std::abs(*best->charge - kBestCharge))
      best = found;
  }
  if (best) return *best;
  return Finding<Resistance>::missing(
      tried ? "the two currents of the pulse do not differ enough, or the current did not flow"
            : "the run has no two-current pulse");
}

}  // namespace sagbench::analysis
