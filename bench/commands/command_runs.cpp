// `sagbench runs`.

#include <fmt/format.h>

#include "bench/commands/commands.hpp"
#include "bench/text/duration_text.hpp"

namespace sagbench::bench {
namespace {

void print_text(const RunList& list) {
  for (const auto& [run, end] : list.runs)
    fmt::print("{:<20}  {}  {:>11}  {:<17}  {}\n", run.id, run.utc.substr(0, 10),
               duration_text(run.duration_s), end, run.pack_name);
}

}  // namespace

int command_runs(const RunsOptions& options) {
  const RunList list = list_runs(options.archive, options.wanted);
  if (options.json) {
    fmt::print("{}", run_list_json(list));
  } else if (list.runs.empty()) {
    fmt::print(
        "{}: {}\n", options.archive,
        list.all == 0 ? "no runs yet" : fmt::format("none of its {} runs is like that", list.all));
  } else {
    print_text(list);
  }
  return 0;
}

}  // namespace sagbench::bench
