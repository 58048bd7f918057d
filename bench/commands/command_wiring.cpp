// `sagbench report --wiring`: how to connect, as a page or as a picture.

#include <tuple>

#include "bench/commands/commands.hpp"
#include "bench/commands/wiring_sheet.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/run_session.hpp"
#include "bench/version.hpp"
#include "reports/archive.hpp"

namespace sagbench::bench {
namespace {

reports::WiringSheet sheet_of_run(const std::string& archive, const std::string& run) {
  using reports::Archive;
  const reports::RunRecord record = Archive(archive, Archive::Access::read).load(run);
  const std::string origin = archive + ", run " + record.id;
  const auto& [pack, bench] = std::tie(record.header.pack_json, record.header.bench_json);
  if (bench.empty())
    throw InputError(origin + ": was measured elsewhere, and how it was wired is not known");
  return wiring_sheet(pack_from_json(parse_json(pack, origin), origin),
                      bench_from_json(parse_json(bench, origin), origin));
}

reports::WiringSheet sheet_for(const WiringOptions& options) {
  const bool by_run = !options.archive.empty() || !options.run.empty();
  const bool by_files = !options.bench.empty() || !options.pack.empty();
  if (by_run && by_files)
    throw InputError("report --wiring: --archive with a run, or --bench with --pack, not both");
  if (by_run) {
    if (options.archive.empty() || options.run.empty())
      throw InputError("report --wiring: --archive and a run go together");
    return sheet_of_run(options.archive, options.run);
  }
  if (!by_files) return usual_wiring_sheet();
  if (options.bench.empty() || options.pack.empty())
    throw InputError("report --wiring: --bench and --pack go together");
  const BenchAndPack on = read_bench_and_pack(options.bench, options.pack);
  return wiring_sheet(on.pack, on.bench);
}

}  // namespace

int command_wiring(const WiringOptions& options) {
  if (options.out.empty() && options.svg.empty())
    throw InputError(
        "report: --out is missing; name the PDF to write, or a folder for pictures with --svg");
  const reports::WiringSheet sheet = sheet_for(options);
  if (!options.svg.empty()) reports::write_wiring_svg(sheet, options.svg);
  if (!options.out.empty())
    reports::write_wiring_page(sheet, kSoftware, options.out, options.layout);
  return 0;
}

}  // namespace sagbench::bench
