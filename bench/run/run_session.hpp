#pragma once
// From three files and an archive to a finished run: instruments, checks, plan, closing.

#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/operation.hpp"
#include "bench/files/bench_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/run/run_watch.hpp"
#include "bench/safety/pre_check.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

struct Surroundings;

/// A user's file, read and kept as text for the archive.
struct SourceFile {
  std::string path;    // as given, for messages
  std::string folder;  // where relative paths inside it start
  nlohmann::json json;
};

SourceFile read_source(const std::string& path);
/// An operation file.
analysis::Operation read_operation(const std::string& path);
std::vector<analysis::Operation> read_operations(const std::vector<std::string>& paths);

struct BenchAndPack {
  SourceFile bench_file;
  SourceFile pack_file;
  Bench bench;
  analysis::Pack pack;
};

/// Reads and validates both, and that they fit each other. Throws InputError.
BenchAndPack read_bench_and_pack(const std::string& bench_path, const std::string& pack_path);

struct RunResult {
  std::string run_id;
  reports::RunClosing closing;
};

/// On stderr while a run goes on. The alarm of a load that does not switch off is always told.
enum class Telling {
  nothing,
  warnings,
  all,  // its status, and how it goes
};

struct RunRequest {
  BenchAndPack on;
  Plan plan;
  std::string archive_path;
  bool attended = false;
  Telling telling = Telling::nothing;
  std::uint64_t seed = 1;  // of the virtual bench and of the operator's patterns
  std::optional<drivers::virtual_bench::WorldSpec>
      world;                   // a virtual pack other than the file's own
  std::string continue_run{};  // of the archive, or its unique beginning; empty: a new run
  MakeRunWatch watch{};        // empty: nobody follows the run
  /// Called when all of the run is in the archive, before its watch stays on; may be empty.
  std::function<void(const RunResult&)> ended{};
};

/// Throws InputError (nothing was energised, nothing recorded), Stop when the instruments failed
/// before the run began, and reports::ArchiveError when the archive cannot be opened. Every later
/// end is in the result and in the archive.
RunResult run_session(const RunRequest& request);
/// The same in a simulated world that the caller keeps; the request's own `world` is not used.
/// Precondition: the bench is virtual.
RunResult run_session(const RunRequest& request, const Surroundings& around);

/// Where the archive holds a run that was cut short, its program may have left the load drawing:
/// off, for a person whose next request cannot even be read. Throws Stop when the load does not
/// answer or does not switch off.
void switch_off_what_was_left_on(const BenchAndPack& on, const std::string& archive_path,
                                 std::uint64_t seed);

/// The checks of `sagbench check`, input off all the while. Throws InputError and Stop as above.
struct CheckReport {
  std::vector<std::string> identities;  // "load tcp:...: maker,model,..."
  std::vector<CheckLine> lines;
};
CheckReport check_session(const BenchAndPack& on, std::uint64_t seed);

}  // namespace sagbench::bench
