#include "bench/run/run_header.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <iterator>
#include <utility>

#include "bench/version.hpp"

namespace sagbench::bench {
namespace {

std::vector<std::string> notes_by_files(const BenchAndPack& on, const Instruments& instruments) {
  std::vector<std::string> notes;
  if (!instruments.load->guards_itself())
    notes.emplace_back(
        "The load has no low-voltage stop and no watchdog of its own: a person had to stay by.");
  if (!instruments.meter)
    notes.emplace_back("No meter: pack voltage is the load's own reading, lead drop included.");
  if (instruments.meter && !instruments.meter->measures_temperature())
    notes.emplace_back("Temperature was not measured.");
  if (accuracy_of(on.bench).defaulted)
    notes.emplace_back(
        "The bench file leaves out some accuracy: wide defaults stand in (common practice, no "
        "source).");
  if (!on.pack.max_discharge_current_a && !on.pack.fuse_a)
    notes.push_back(
        fmt::format("The pack file names neither max_discharge_current_A nor fuse_A: 1 It = {:g} "
                    "A was the limit.",
                    analysis::current_limit_a(on.pack)));
  return notes;
}

}  // namespace

std::vector<reports::Instrument> instruments_used(const Bench& bench,
                                                  const Instruments& instruments) {
  std::vector<reports::Instrument> used;
  used.push_back(
      {"load", instruments.load->identity(), instruments.load->port(), bench.load.calibrated});
  if (instruments.meter)
    used.push_back({"meter", instruments.meter->identity(), instruments.meter->port(),
                    bench.meter->calibrated});
  return used;
}

reports::RunHeader run_header(const RunRequest& request, const Instruments& instruments,
                              std::chrono::system_clock::time_point utc, bool virtual_time,
                              std::vector<std::string> remarks) {
  reports::RunHeader header;
  header.utc =
      fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::chrono::system_clock::to_time_t(utc)));
  header.pack_name = request.on.pack.name;
  header.pack_json = request.on.pack_file.json.dump();
  header.bench_json = request.on.bench_file.json.dump();
  header.plan_json = request.plan.source.dump();
  header.instruments = instruments_used(request.on.bench, instruments);
  header.software = kSoftware;
  header.notes = std::move(remarks);
  auto notes = notes_by_files(request.on, instruments);
  std::move(notes.begin(), notes.end(), std::back_inserter(header.notes));
  if (virtual_time)
    header.notes.emplace_back(
        "Simulated: the virtual bench, not a real pack. Its calendar always starts on the same "
        "day.");
  return header;
}

}  // namespace sagbench::bench
