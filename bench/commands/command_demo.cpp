// `sagbench demo`: the club's test day on the virtual bench, from plan to PDFs.

#include <fmt/format.h>
#include <filesystem>

#include "bench/commands/commands.hpp"
#include "bench/commands/demo_files.hpp"
#include "bench/commands/demo_packs.hpp"
#include "bench/commands/demo_summary.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/run/instruments.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_session.hpp"
#include "bench/safety/stop.hpp"
#include "bench/text/run_progress.hpp"
#include "bench/version.hpp"
#include "reports/comparison_report.hpp"

namespace sagbench::bench {

namespace fs = std::filesystem;

namespace {

void make_folder(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error)
    throw InputError(fmt::format("{}: the folder cannot be made: {}; name another with --out",
                                 folder.string(), error.message()));
}

/// The demo replaces what an earlier demo left.
void remove_old_archive(const fs::path& archive) {
  for (const char* suffix : {"", "-wal", "-shm"}) {
    std::error_code ignored;
    fs::remove(archive.string() + suffix, ignored);
  }
}

std::string measure(const DemoPack& pack, const fs::path& out, const fs::path& archive,
                    std::uint64_t seed) {
  RunRequest request;
  const bool tapped = pack.cells.size() == 4;
  request.on = read_bench_and_pack((out / (tapped ? "bench.json" : "bench-agm.json")).string(),
                                   (out / pack.file).string());
  const SourceFile plan = read_source((out / "plan.json").string());
  request.plan = plan_from_json(plan.json, plan.path, plan.folder);
  request.archive_path = archive.string();
  request.attended = true;  // nothing real to attend
  request.seed = seed;
  request.world = world_of(request.on.pack, request.on.bench);
  request.world->cells = pack.cells;
  const RunResult result = run_session(request);
  if (result.closing.end != reports::RunEnd::done)
    throw Stop(result.closing.end, fmt::format("{}: {}", pack.file, result.closing.reason));
  return result.run_id;
}

reports::ReportInput report(const reports::Archive& archive, const std::string& run,
                            const fs::path& out, const fs::path& pdf) {
  auto input = load_whole_run(archive, run);
  for (const char* name : {"operation-summit.json", "operation-field.json"}) {
    const SourceFile file = read_source((out / name).string());
    const auto operation = operation_from_json(file.json, file.path, file.folder);
    input.operations.push_back(
        {operation, analysis::endurance(input.recording, input.figures, operation)});
  }
  reports::write_test_report(input, pdf.string());
  return input;
}

}  // namespace

int command_demo(const DemoOptions& options) {
  const fs::path out(options.out);
  const fs::path archive_path = out / "archive.db";
  make_folder(out);
  remove_old_archive(archive_path);
  const auto packs = demo_packs(options.seed);
  for (const DemoPack& pack : packs) write_json_file(out / pack.file, pack.json);
  for (const DemoFile& file : {demo_bench(4), demo_bench(0)})
    write_json_file(out / file.name, file.json);
  for (const DemoFile& file : demo_files()) write_json_file(out / file.name, file.json);

  std::vector<std::string> runs;
  for (std::size_t i = 0; i < packs.size(); ++i) {
    tell_pack(i, packs.size(), packs[i].json["name"].get<std::string>());
    runs.push_back(measure(packs[i], out, archive_path, options.seed + i));
  }
  const reports::Archive archive(archive_path.string(), reports::Archive::Access::read);
  std::vector<reports::ReportInput> inputs;
  for (std::size_t i = 0; i < packs.size(); ++i) {
    const std::string stem = fs::path(packs[i].file).stem().string().substr(5);  // behind "pack-"
    inputs.push_back(report(archive, runs[i], out, out / ("report-" + stem + ".pdf")));
  }
  reports::write_comparison({reports::digests_of(inputs), {}, {}, kSoftware},
                            (out / "comparison.pdf").string());
  fmt::print("{}", demo_summary(inputs, options.out));
  return 0;
}

}  // namespace sagbench::bench
