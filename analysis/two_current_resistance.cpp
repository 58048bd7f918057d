#include "analysis/two_current_resistance.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "analysis/hold_end.hpp"
#include "analysis/repeatability.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kBestCharge = 0.5;
// Currents closer than this share of the larger one give a difference that is mostly error.
constexpr double kLeastDifference = 0.1;

std::optional<Resistance> resistance_of(const BenchAccuracy& accuracy, std::span<const Sample> low,
                                        std::span<const Sample> high) {
  for (const auto hold : {low, high})
    for (const Sample& sample : hold)
      if (board_open(sample)) return std::nullopt;
  const HoldEnd second = end_of(high);
  const TwoReadings readings = between(end_of(low), second);
  if (readings.rise_a <= kLeastDifference * second.current_a) return std::nullopt;
  Resistance result;
  result.budget = resistance_budget(voltage_term(accuracy), accuracy.load_current,
                                    leads_half_width_ohm(accuracy), readings);
  result.ohm = {readings.ohm(), kCoverageFactor * result.budget.combined(), kCoverageFactor};
  if (below_nothing(result.ohm)) return std::nullopt;
  result.method = "IEC 61960-3";
  return result;
}

/// All pairs of a low current and a high one straight after it.
struct Pairs {
  std::vector<Resistance> found;
  bool tried = false;
};

Pairs pairs_of(const Recording& recording, const ChargeState& charge) {
  const std::span<const Sample> samples = recording.samples;
  Pairs pairs;
  std::size_t i = 0;
  while (i < samples.size()) {
    const std::size_t middle = end_of_phase(samples, i);
    const std::size_t first = i;
    i = middle;
    if (samples[first].phase != Phase::low_current || middle == samples.size()) continue;
    if (samples[middle].phase != Phase::high_current || samples[middle].step != samples[first].step)
      continue;
    pairs.tried = true;
    const std::size_t last = end_of_phase(samples, middle);
    auto resistance = resistance_of(recording.accuracy, samples.subspan(first, middle - first),
                                    samples.subspan(middle, last - middle));
    if (!resistance) continue;
    resistance->charge = charge.charge(middle);
    pairs.found.push_back(*std::move(resistance));
  }
  return pairs;
}

}  // namespace

Finding<Resistance> two_current_resistance(const Recording& recording, const ChargeState& charge) {
  const Pairs pairs = pairs_of(recording, charge);
  if (pairs.found.empty())
    return Finding<Resistance>::missing(pairs.tried ? "the two currents of the pulse do not differ "
                                                      "enough, the current did not flow, or the "
                                                      "voltage rose with it"
                                                    : "the run has no two-current pulse");
  Resistance best = *std::ranges::min_element(pairs.found, {}, [](const Resistance& resistance) {
    return std::abs(*resistance.charge - kBestCharge);
  });
  std::vector<double> ohms;
  for (const Resistance& other : pairs.found)
    if (std::abs(*other.charge - *best.charge) < kSameCharge) ohms.push_back(other.ohm.value);
  best.repeatability = repeatability(ohms);
  return best;
}

}  // namespace sagbench::analysis
