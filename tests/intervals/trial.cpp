#include "trial.hpp"

#include <fmt/format.h>

#include <stdexcept>

#include "analysis/figures.hpp"
#include "bench/loaded_run.hpp"
#include "scenario/virtual_run.hpp"
#include "specimen.hpp"
#include "truth.hpp"

namespace sagbench::intervals {
namespace {

/// What the run recorded, as `sagbench analyse` has it from the archive.
analysis::Recording recording_of(const Specimen& specimen, reports::RunRecord record) {
  analysis::Recording recording;
  recording.pack = specimen.pack;
  recording.accuracy = bench::accuracy_of(specimen.bench);
  recording.steps = bench::steps_of(record, specimen.pack);
  recording.samples = std::move(record.samples);
  recording.complete = true;
  recording.load_current_limit_a = specimen.bench.load.max_current_a;
  return recording;
}

struct Measurement {
  analysis::Figures figures;
  double discharge_a = 0.0;  // what really flowed in the capacity step
};

Measurement measured(const Specimen& specimen) {
  const tests::TemporaryFolder folder;
  tests::VirtualRun run(specimen.pack, specimen.bench, specimen.seed);
  Measurement measurement;
  // The first current that flows is that of the capacity step, and it stands.
  run.meddle = [&](double, const std::string&, const std::string&, std::string&) {
    if (measurement.discharge_a == 0.0) measurement.discharge_a = run.truth().current_a;
    return true;
  };
  const auto closing = run.run(steps_of(specimen), folder.path("a.db"));
  if (closing.end != reports::RunEnd::done)
    throw std::runtime_error(fmt::format("{}: {}", name_of(specimen.seed), closing.reason));
  measurement.figures =
      analysis::analyse(recording_of(specimen, tests::record_of(folder.path("a.db"))));
  return measurement;
}

template <class T>
const T& expect(const analysis::Finding<T>& finding, std::uint64_t seed) {
  if (!finding) throw std::runtime_error(fmt::format("{}: {}", name_of(seed), finding.why()));
  return *finding;
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
  const Measurement found = measured(specimen);
  const analysis::Figures& figures = found.figures;
  const TrueFigures truth = true_figures(specimen, found.discharge_a);
  const analysis::Capacity& capacity = expect(figures.capacity, seed);
  std::vector<Outcome> outcomes = {
      outcome("capacity", "Ah", capacity.charge_ah, truth.charge_ah),
      outcome("energy", "Wh", capacity.energy_wh, truth.energy_wh),
      outcome("resistance", "ohm", expect(figures.dc_resistance, seed).ohm, truth.ohm)};
  for (std::size_t i = 0; i < specimen.radios.size(); ++i) {
    const analysis::Rating& rating = figures.ratings.at(i);
    if (!rating.margin_v)
      throw std::runtime_error(fmt::format("{}: {}", name_of(seed), rating.because));
    outcomes.push_back(
        outcome("margin, " + specimen.radios[i].name, "V", *rating.margin_v, truth.margin_v[i]));
  }
  return outcomes;
}

}  // namespace sagbench::intervals
