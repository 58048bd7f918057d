#include "analysis/two_point_resistance.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>

#include "analysis/hold_end.hpp"
#include "analysis/repeatability.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kLongestBreak_s = 360.0;
constexpr double kLeastRatio = 2.0;
constexpr double kLow_s = 20.0, kHigh_s = 5.0;
constexpr double kHeld = 0.9;        // of those times at least
constexpr double kLeastFall = 1e-6;  // of the voltage: no instrument sees less

/// How an input acts on the resistance, the open-circuit voltage and the short-circuit current.
struct Sensitivity {
  double ohm = 0.0;
  double open_v = 0.0;
};

class TwoPoints {
 public:
  TwoPoints(const BenchAccuracy& accuracy, const HoldEnd& low, const HoldEnd& high)
      : accuracy_(accuracy), low_(low), high_(high), readings_(between(low, high)) {}

  bool usable() const {
    const double least_v =
        std::max(kCoverageFactor * readings_.noise_v, kLeastFall * low_.voltage_v);
    return high_.current_a >= kLeastRatio * low_.current_a && readings_.fall_v > least_v;
  }

  TwoPointResistance result() {
    const double ohm = readings_.ohm();
    const double open_v = low_.voltage_v + ohm * low_.current_a;
    result_.low_a = low_.current_a;
    result_.high_a = high_.current_a;
    add_inputs(ohm, open_v);
    const auto measured = [](double value, const UncertaintyBudget& budget) {
      return Measured{value, kCoverageFactor * budget.combined(), kCoverageFactor};
    };
    result_.ohm = measured(ohm, result_.ohm_budget);
    result_.open_circuit_v = measured(open_v, result_.volt_budget);
    result_.short_circuit_a = measured(open_v / ohm, result_.ampere_budget);
    return result_;
  }

 private:
  /// U0 = U1 + R I1 and Isc = U0 / R, so an input acts on Isc by dU0 / R - Isc dR / R.
  double on_ampere(const Sensitivity& of) const {
    const double ohm = readings_.ohm();
    const double ampere = low_.voltage_v / ohm + low_.current_a;
    return (of.open_v - ampere * of.ohm) / ohm;
  }
  void add(const std::string& input, Distribution distribution, double doubt,
           const std::string& unit, const Sensitivity& of) {
    const auto put = [&](UncertaintyBudget& budget, double sensitivity) {
      if (distribution == Distribution::normal)
        budget.add_normal(input, doubt, unit, sensitivity);
      else
        budget.add_rectangular(input, doubt, unit, sensitivity);
    };
    put(result_.ohm_budget, of.ohm);
    put(result_.volt_budget, of.open_v);
    put(result_.ampere_budget, on_ampere(of));
  }
  void add_inputs(double ohm, double open_v) {
    const AccuracyTerm& voltage = voltage_term(accuracy_);
    const AccuracyTerm& current = accuracy_.load_current;
    const double rise_a = readings_.rise_a;
    const double low_a = low_.current_a, high_a = high_.current_a;
    constexpr auto kRectangular = Distribution::rectangular;
    constexpr auto kNormal = Distribution::normal;
    add("gain of the voltage", kRectangular, voltage.of_reading, "1", {ohm, open_v});
    add("offset of the voltage", kRectangular, voltage.of_range * voltage.range, "V", {0.0, 1.0});
    add("gain of the current", kRectangular, current.of_reading, "1", {-ohm, 0.0});
    add("offset of the current", kRectangular, current.of_range * current.range, "A", {0.0, ohm});
    const double noise_v = std::max(low_.scatter_v, high_.scatter_v);
    const double noise_a = std::max(low_.scatter_a, high_.scatter_a);
    const double low_n = std::sqrt(low_.readings), high_n = std::sqrt(high_.readings);
    add("noise of the voltage, low current", kNormal, noise_v / low_n, "V",
        {1.0 / rise_a, high_a / rise_a});
    add("noise of the voltage, high current", kNormal, noise_v / high_n, "V",
        {-1.0 / rise_a, -low_a / rise_a});
    add("noise of the low current", kNormal, noise_a / low_n, "A",
        {ohm / rise_a, ohm * high_a / rise_a});
    add("noise of the high current", kNormal, noise_a / high_n, "A",
        {-ohm / rise_a, -ohm * low_a / rise_a});
    add("leads, not sensed", kRectangular, leads_half_width_ohm(accuracy_), "ohm", {1.0, 0.0});
  }

  const BenchAccuracy& accuracy_;
  HoldEnd low_, high_;
  TwoReadings readings_;
  TwoPointResistance result_;
};

std::optional<TwoPointResistance> pair_of(const BenchAccuracy& accuracy,
                                          std::span<const Sample> low,
                                          std::span<const Sample> high) {
  const auto held = [](std::span<const Sample> hold, double seconds) {
    return hold.back().time_s - setpoint_since_s(hold.front()) >= kHeld * seconds &&
           std::ranges::none_of(hold, board_open);
  };
  if (!held(low, kLow_s) || !held(high, kHigh_s)) return std::nullopt;
  TwoPoints points(accuracy, end_of(low), end_of(high));
  if (!points.usable()) return std::nullopt;
  return points.result();
}

/// First sample of the high current that follows the low one ending at `low_end` after a break; the
/// number of samples where none does.
std::size_t high_after(std::span<const Sample> samples, std::size_t low_end) {
  std::size_t next = low_end;
  const auto rests = [](const Sample& sample) {
    return sample.phase == Phase::rest || sample.phase == Phase::recovery;
  };
  while (next < samples.size() && rests(samples[next])) ++next;
  const bool follows = next > low_end && next < samples.size() &&
                       samples[next].phase == Phase::high_current &&
                       samples[next].step == samples[low_end - 1].step &&
                       samples[next].time_s - samples[low_end - 1].time_s <= kLongestBreak_s;
  return follows ? next : samples.size();
}

}  // namespace

Finding<TwoPointResistance> two_point_resistance(const Recording& recording,
                                                 const ChargeState& charge) {
  const auto missing = [](const char* why) { return Finding<TwoPointResistance>::missing(why); };
  if (!limits_of(recording.pack.chemistry).lead_acid)
    return missing("the method is for lead-acid packs");
  const std::span<const Sample> samples = recording.samples;
  std::vector<TwoPointResistance> found;
  bool tried = false;
  for (std::size_t first = 0; first < samples.size();) {
    const std::size_t last = end_of_phase(samples, first);
    const std::size_t high =
        samples[first].phase == Phase::low_current ? high_after(samples, last) : samples.size();
    if (high < samples.size()) {
      tried = true;
      auto pair = pair_of(recording.accuracy, samples.subspan(first, last - first),
                          samples.subspan(high, end_of_phase(samples, high) - high));
      if (pair) {
        pair->charge = charge.charge(high);
        found.push_back(*std::move(pair));
      }
    }
    first = last;
  }
  if (found.empty())
    return missing(tried ? "the two currents were not held for 20 s and 5 s, are too alike, or the "
                           "voltage did not fall between them"
                         : "the run has no two currents with a break between them: \"two_point\": "
                           "true in a peak-current step draws them");
  std::vector<double> ohms;
  for (const TwoPointResistance& other : found)
    if (std::abs(other.charge - found.front().charge) < kSameCharge)
      ohms.push_back(other.ohm.value);
  found.front().repeatability = repeatability(ohms);
  return found.front();
}

}  // namespace sagbench::analysis
