#include "trial.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <stdexcept>
#include <utility>

#include "measurement.hpp"
#include "truth.hpp"

namespace sagbench::intervals {
namespace {

/// The lowest that the radio really had under its peaks from full down, looked at whenever an
/// instrument had answered.
class AirWitness {
 public:
  explicit AirWitness(const analysis::Radio& radio) : radio_(radio) {}

  void look(const drivers::virtual_bench::Truth& truth) {
    constexpr double kKeyDown = 0.5;  // a stage that clips draws less than its peak
    if (truth.charge_removed_ah < removed_ah_) recharged_ = true;  // behind the capacity step
    removed_ah_ = truth.charge_removed_ah;
    if (recharged_ && truth.current_a > kKeyDown * radio_.transmit_peak_a)
      seen_.push_back({removed_ah_, truth.pack_v - radio_.cable_ohm * truth.current_a});
  }
  double margin_v(double full_ah) const {
    constexpr double kLastUsefulCharge = 0.2;
    double least_v = std::numeric_limits<double>::infinity();
    for (const auto& [removed_ah, supply_v] : seen_)
      if (removed_ah <= (1.0 - kLastUsefulCharge) * full_ah) least_v = std::min(least_v, supply_v);
    return least_v - radio_.supply_min_v;
  }

 private:
  struct Seen {
    double removed_ah, supply_v;
  };

  const analysis::Radio& radio_;
  double removed_ah_ = 0.0;
  bool recharged_ = false;
  std::vector<Seen> seen_;
};

template <class T>
const T& expect(const analysis::Finding<T>& finding, std::uint64_t seed) {
  if (!finding) throw std::runtime_error(fmt::format("{}: {}", name_of(seed), finding.why()));
  return *finding;
}

const analysis::Measured& margin_of(const analysis::Rating& rating, std::uint64_t seed) {
  if (!rating.margin_v)
    throw std::runtime_error(fmt::format("{}: {}", name_of(seed), rating.because));
  return *rating.margin_v;
}

Outcome outcome(std::string figure, std::string unit, const analysis::Measured& measured,
                double truth) {
  return {std::move(figure), std::move(unit), measured.value, measured.expanded_uncertainty, truth};
}

}  // namespace

std::string name_of(std::uint64_t seed) {
  const analysis::Pack pack = drawn(seed).pack;
  return fmt::format("{} {:.1f} Ah, seed {}", pack.name, pack.rated_capacity_ah, seed);
}

std::vector<Outcome> tried(std::uint64_t seed) {
  const Specimen specimen = drawn(seed);
  const Measurement found = measured(specimen, steps_of(specimen));
  const analysis::Figures& figures = found.figures;
  const TrueFigures truth = true_figures(specimen, found.discharge_a);
  const analysis::Capacity& capacity = expect(figures.capacity, seed);
  std::vector<Outcome> outcomes = {
      outcome("capacity", "Ah", capacity.charge_ah, truth.charge_ah),
      outcome("energy", "Wh", capacity.energy_wh, truth.energy_wh),
      outcome("resistance", "ohm", expect(figures.dc_resistance, seed).ohm, truth.ohm)};
  for (std::size_t i = 0; i < specimen.radios.size(); ++i) {
    outcomes.push_back(outcome("margin, " + specimen.radios[i].name, "V",
                               margin_of(figures.ratings.at(i), seed), truth.margin_v[i]));
  }
  return outcomes;
}

Outcome tried_on_air(std::uint64_t seed) {
  const Specimen specimen = drawn(seed);
  AirWitness witness(specimen.on_air);
  const Measurement found = measured(specimen, on_air_steps_of(specimen),
                                     [&](const auto& truth) { witness.look(truth); });
  const double full_ah = true_figures(specimen, found.discharge_a).charge_ah;
  return outcome("margin, on air", "V", margin_of(found.figures.ratings.back(), seed),
                 witness.margin_v(full_ah));
}

}  // namespace sagbench::intervals
