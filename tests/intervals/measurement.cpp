#include "measurement.hpp"

#include <fmt/format.h>

#include <stdexcept>
#include <utility>

#include "bench/run/loaded_run.hpp"
#include "scenario/virtual_run.hpp"
#include "trial.hpp"

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

}  // namespace

Measurement measured(const Specimen& specimen, const nlohmann::json& steps, const Look& look) {
  const tests::TemporaryFolder folder;
  tests::VirtualRun run(specimen.pack, specimen.bench, specimen.seed);
  Measurement measurement;
  run.meddle = [&](double, const std::string&, const std::string&, std::string&) {
    if (measurement.discharge_a > 0.0 && !look) return true;
    const auto truth = run.truth();
    // The first current that flows is that of the capacity step, and it stands.
    if (measurement.discharge_a == 0.0) measurement.discharge_a = truth.current_a;
    if (look) look(truth);
    return true;
  };
  const auto closing = run.run(steps, folder.file("a.db"));
  if (closing.end != reports::RunEnd::done)
    throw std::runtime_error(fmt::format("{}: {}", name_of(specimen.seed), closing.reason));
  measurement.figures =
      analysis::analyse(recording_of(specimen, tests::record_of(folder.file("a.db"))));
  return measurement;
}

}  // namespace sagbench::intervals
