#pragma once
// What each word of the command line does. Results go to stdout, faults are thrown (see main.cpp
// for their exit codes), the return value is the exit code otherwise.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "bench/commands/run_list.hpp"
#include "bench/run/run_watch.hpp"
#include "reports/measured_csv.hpp"
#include "reports/report_options.hpp"

namespace sagbench::bench {

struct RunOptions {
  std::string bench, pack, plan, archive;
  bool attended = false;
  bool quiet = false;  // on stderr only warnings, and why a run ended early
  std::uint64_t seed = 1;
  std::string continue_run{};  // its id, or the unique beginning of it
  MakeRunWatch watch{};        // empty: nobody follows the run
};
int command_run(const RunOptions& options);

int command_check(const std::string& bench, const std::string& pack, std::uint64_t seed);

/// What `run` would refuse by the files alone is refused.
int command_plan(const std::string& bench, const std::string& pack, const std::string& plan);

/// A word of the reports; empty: lists them.
int command_explain(const std::string& words);

/// Serial ports, and `more` ones as in a bench file; who answers on each.
int command_ports(const std::vector<std::string>& more, bool json);

struct ProbeOptions {
  std::string port;
  std::string out;               // a file; empty: stdout
  std::optional<unsigned> baud;  // empty: the first common one at which somebody answers
};
int command_probe(const ProbeOptions& options);

struct NewOptions {
  std::string kind;               // see form_kinds()
  std::string out;                // empty: its kind with ".json", here
  std::vector<std::string> told;  // KEY=VALUE; none: it asks
  bool at_terminal = false;       // a person answers, and may try again
};
/// A file that is there is never written over.
int command_new(const NewOptions& options);

struct DemoOptions {
  std::string out = "demo-out";
  std::uint64_t seed = 1;
};
int command_demo(const DemoOptions& options);

struct ServeOptions {
  std::string bench, pack;
  std::string way = "pty";  // "pty" | "tcp"
  std::uint64_t seed = 1;
};
int command_virtual(const ServeOptions& options);

struct ImportOptions {
  std::string archive, pack, file;
  std::string utc;  // when it was measured; empty: not known
  reports::CsvColumns columns;
};
int command_import(const ImportOptions& options);

/// A run that `export` wrote.
int import_folder(const std::string& archive, const std::string& folder);
/// The run that is attached to a test report.
int import_report(const std::string& archive, const std::string& pdf);

struct RunsOptions {
  std::string archive;
  bool json = false;
  RunsWanted wanted{};
};
int command_runs(const RunsOptions& options);
/// All runs where none is named; each to a folder of its id in `out`.
int command_export(const std::string& archive, const std::vector<std::string>& runs,
                   const std::string& out);
/// Whatever ended in `from` and is not in `archive` yet. 2 where a run of the same id differs. Runs
/// that were deleted here only with `again`.
int command_merge(const std::string& archive, const std::string& from, bool again);
/// Of one run, or, with `run` empty, of all.
int command_verify(const std::string& archive, const std::string& run, bool json);

/// One of `file` (to add), `list`, `out` (a folder) and `remove`: a photo by its name or the
/// beginning of its hash; it only goes with `yes`, else it is said.
struct PhotoOptions {
  std::string archive, run, file, caption, out, remove{};
  bool list = false, yes = false;
};
int command_photo(const PhotoOptions& options);
/// One of `text` (to add), `list` and `remove`: a remark by its text or the beginning of its hash;
/// as above.
struct RemarkOptions {
  std::string archive, run, text, remove{};
  bool list = false, yes = false;
};
int command_remark(const RemarkOptions& options);

/// Says what would go; only with `yes` it does.
struct DeleteOptions {
  std::string archive;
  std::vector<std::string> runs;
  bool yes = false, compact = false;
};
int command_delete(const DeleteOptions& options);

struct AnalyseOptions {
  bool json = false;
  std::optional<double> per_k;  // temperature coefficient of the capacity; absent: no correction
  double reference_c = 20.0;
};
int command_analyse(const std::string& archive, const std::string& run,
                    const AnalyseOptions& options);
int command_endurance(const std::string& archive, const std::string& run,
                      const std::string& operation, bool json);
/// A PDF, or its pictures as files in the folder `svg`, or both; an empty name is neither.
int command_report(const std::string& archive, const std::string& run, const std::string& out,
                   const std::string& svg, const std::vector<std::string>& operations,
                   const reports::ReportOptions& options);

/// How to connect: of a run, of two files, or of any pack.
struct WiringOptions {
  std::string archive, run;  // or:
  std::string bench, pack;
  std::string out, svg;  // as above
  reports::ReportOptions layout{};
};
int command_wiring(const WiringOptions& options);

struct CompareOptions {
  std::string archive;
  std::vector<std::string> runs;  // or one of the two:
  bool all = false;               // runs that have ended
  bool latest = false;            // of each pack the newest run that measured its capacity
  std::string sort;               // see reports::sort_names(); empty: the usual
  std::string out;                // empty: no PDF; one of these three is given:
  std::string svg{};              // a folder for its pictures
  bool json = false;
  std::vector<std::string> operations;
  reports::ReportOptions layout{};  // of the PDF
};
int command_compare(const CompareOptions& options);

struct AgeingOptions {
  std::string archive;
  std::string pack;                   // name or serial
  std::optional<std::string> serial;  // where several packs have that name
  std::string out;                    // as above
  std::string svg{};
  bool json = false;
  std::vector<std::string> operations;
  reports::ReportOptions layout{};  // of the PDF
};
int command_ageing(const AgeingOptions& options);

}  // namespace sagbench::bench
