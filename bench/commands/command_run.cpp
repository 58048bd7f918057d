// `sagbench run` and `sagbench check`.

#include <fmt/format.h>

#include <cstdio>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/run/run_session.hpp"
#include "bench/text/wiring_text.hpp"

namespace sagbench::bench {

namespace {

Plan read_plan(const RunOptions& options, const BenchAndPack& on) {
  try {
    const SourceFile file = read_source(options.plan);
    return plan_from_json(file.json, file.path, file.folder);
  } catch (const InputError&) {
    switch_off_what_was_left_on(on, options.archive, options.seed);
    throw;
  }
}

/// When all of the run is in the archive.
void tell_end(const RunResult& result) {
  std::fputs((result.run_id + "\n").c_str(), stdout);  // does not throw: how it ended counts
  std::fflush(stdout);                                 // its watch may stay on for long
  if (!result.closing.reason.empty())
    std::fputs(fmt::format("sagbench: {}{}\n", result.closing.reason,
                           result.closing.load_confirmed_off ? "; the load is off" : "")
                   .c_str(),
               stderr);
  if (!result.closing.load_confirmed_off)
    std::fputs("sagbench: THE LOAD COULD NOT BE CONFIRMED OFF: pull the pack's lead\n", stderr);
}

}  // namespace

int command_run(const RunOptions& options) {
  RunRequest request{read_bench_and_pack(options.bench, options.pack),
                     {},
                     options.archive,
                     options.attended,
                     options.quiet ? Telling::warnings : Telling::all,
                     options.seed,
                     std::nullopt,
                     options.continue_run,
                     options.watch,
                     tell_end};
  request.plan = read_plan(options, request.on);
  return static_cast<int>(run_session(request).closing.end);
}

int command_check(const std::string& bench, const std::string& pack, std::uint64_t seed) {
  const BenchAndPack on = read_bench_and_pack(bench, pack);
  fmt::print("{}\n", wiring_text(on.pack, on.bench));
  std::fflush(stdout);  // looking takes some seconds
  const CheckReport report = check_session(on, seed);
  for (const std::string& identity : report.identities) fmt::print("       {}\n", identity);
  bool fit = true;
  for (const CheckLine& line : report.lines) {
    fit = fit && line.result != CheckResult::bad;
    const char* mark = line.result == CheckResult::good  ? "good"
                       : line.result == CheckResult::bad ? "BAD"
                                                         : "note";
    fmt::print("{:<5}  {}\n", mark, line.text);
    if (!line.remedy.empty()) fmt::print("       -> {}\n", line.remedy);
  }
  fmt::print("{}\n", fit ? "Ready. The input stayed off." : "Not ready. The input stayed off.");
  constexpr int kUserFault = 2;
  return fit ? 0 : kUserFault;
}

}  // namespace sagbench::bench
