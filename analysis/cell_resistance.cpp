#include "analysis/cell_resistance.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

#include "analysis/held_current.hpp"
#include "analysis/repeatability.hpp"
#include "analysis/resistance_budget.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kAge_s = 10.0;
constexpr double kYoungest_s = 1.0;
constexpr double kBestCharge = 0.5;
constexpr double kLeastShare = 0.4;  // of the largest pulse's current

bool tapped(const Sample& sample, std::size_t cells) {
  return sample.cell_v.size() == cells;
}

/// One held current with taps read before and under it.
struct Pulse {
  const Sample* before = nullptr;
  const Sample* under = nullptr;
  double age_s = 0.0;
  double charge = 0.0;
  std::vector<double> noise_v;             // of one reading, a cell
  std::vector<double> recovers_v_per_s{};  // before, a cell

  double rise_a() const { return under->current_a - before->current_a; }
  double ohm(std::size_t cell) const {
    return (before->cell_v[cell] - under->cell_v[cell]) / rise_a();
  }
};

/// `figure` of each tap's readings.
std::vector<double> of_taps(std::span<const Sample> samples, std::size_t cells,
                            double (*figure)(std::span<const Reading>)) {
  std::vector<double> found;
  for (std::size_t cell = 0; cell < cells; ++cell) {
    std::vector<Reading> readings;
    for (const Sample& sample : samples)
      if (tapped(sample, cells)) readings.push_back({sample.time_s, sample.cell_v[cell]});
    found.push_back(figure(readings));
  }
  return found;
}

std::optional<Pulse> pulse_of(const Recording& recording, const HeldCurrent& held,
                              std::size_t cells) {
  Pulse pulse;
  const std::span<const Sample> samples = recording.samples;
  const auto rest = samples.subspan(held.rest, held.first - held.rest);
  for (const Sample& sample : rest)
    if (tapped(sample, cells)) pulse.before = &sample;
  for (const Sample& sample : samples.subspan(held.first, held.last - held.first)) {
    const double age_s = sample.time_s - held.edge_s;
    if (!tapped(sample, cells) || age_s < kYoungest_s) continue;
    if (pulse.under && std::abs(age_s - kAge_s) >= std::abs(pulse.age_s - kAge_s)) continue;
    pulse.under = &sample;
    pulse.age_s = age_s;
  }
  if (!pulse.before || !pulse.under || !(pulse.rise_a() > 0.0)) return std::nullopt;
  const auto last = static_cast<std::size_t>(pulse.under - samples.data()) + 1;
  pulse.noise_v = of_taps(samples.subspan(held.first, last - held.first), cells, scatter);
  pulse.recovers_v_per_s = of_taps(rest, cells, slope_per_s);
  return pulse;
}

/// Those of the state of charge nearest to half, without the small ones, which tell less.
std::vector<Pulse> near_half_charge(std::vector<Pulse> pulses) {
  const double best = std::ranges::min_element(pulses, {}, [](const Pulse& pulse) {
                        return std::abs(pulse.charge - kBestCharge);
                      })->charge;
  std::erase_if(
      pulses, [best](const Pulse& pulse) { return std::abs(pulse.charge - best) >= kSameCharge; });
  const double largest_a = std::ranges::max_element(pulses, {}, &Pulse::rise_a)->rise_a();
  std::erase_if(
      pulses, [largest_a](const Pulse& pulse) { return pulse.rise_a() < kLeastShare * largest_a; });
  return pulses;
}

CellResistance cell_of(const BenchAccuracy& accuracy, const std::vector<Pulse>& pulses,
                       std::size_t cell) {
  const auto count = static_cast<double>(pulses.size());
  CellResistance result;
  result.cell = static_cast<int>(cell) + 1;
  std::vector<double> ohms;
  for (const Pulse& pulse : pulses) {
    ohms.push_back(pulse.ohm(cell));
    result.ohm.value += ohms.back() / count;
    result.after_s += pulse.age_s / count;
    result.charge += pulse.charge / count;
  }
  const Pulse& largest = *std::ranges::max_element(pulses, {}, &Pulse::rise_a);
  // The meter reads the taps, and its gain is that of the pack's reading.
  result.budget = resistance_budget(voltage_term(accuracy), accuracy.load_current, 0.0,
                                    {result.ohm.value * largest.rise_a(), largest.rise_a(),
                                     std::sqrt(2.0) * largest.noise_v[cell], 0.0});
  result.budget.add_rectangular("recovery before the step",
                                std::abs(largest.recovers_v_per_s[cell]) * largest.age_s, "V",
                                1.0 / largest.rise_a());
  result.repeatability = repeatability(ohms);
  if (result.repeatability)
    result.budget.add_normal("scatter of the pulses", of_mean(*result.repeatability), "ohm", 1.0);
  result.ohm.expanded_uncertainty = kCoverageFactor * result.budget.combined();
  result.ohm.coverage_factor = kCoverageFactor;
  return result;
}

}  // namespace

Finding<std::vector<CellResistance>> cell_resistances(const Recording& recording,
                                                      const ChargeState& charge) {
  using Cells = std::vector<CellResistance>;
  std::size_t cells = 0;
  for (const Sample& sample : recording.samples) cells = std::max(cells, sample.cell_v.size());
  if (cells == 0) return Finding<Cells>::missing("no cell was tapped");
  std::vector<Pulse> pulses;
  for (const HeldCurrent& held : held_currents(recording)) {
    auto pulse = pulse_of(recording, held, cells);
    if (!pulse) continue;
    pulse->charge = charge.charge(held.first - 1);
    pulses.push_back(*std::move(pulse));
  }
  if (pulses.empty())
    return Finding<Cells>::missing(
        "the taps were not read both within 10 s before a current came on and 1 s or more after");
  pulses = near_half_charge(std::move(pulses));
  Cells found;
  for (std::size_t cell = 0; cell < cells; ++cell)
    found.push_back(cell_of(recording.accuracy, pulses, cell));
  if (std::ranges::any_of(found, below_nothing, &CellResistance::ohm))
    return Finding<Cells>::missing("the voltage of a cell rose with the current");
  return found;
}

}  // namespace sagbench::analysis
