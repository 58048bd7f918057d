#pragma once
// The options of all commands in one place, and the commands by what they are about.

#include <CLI/CLI.hpp>
#include <functional>
#include <string>
#include <vector>

#include "bench/commands/commands.hpp"
#include "bench/live/command_live.hpp"
#include "reports/test_report.hpp"

namespace sagbench::bench {

/// Options of all commands, and the command that was chosen.
struct CommandLine {
  CLI::App app{"sagbench: measures battery packs the way a radio uses them"};
  RunOptions run;
  live::PageOptions page;
  NewOptions made;
  DemoOptions demo;
  ProbeOptions probe;
  ServeOptions serve;
  ImportOptions import;
  RunsOptions runs;
  AnalyseOptions analyse;
  PhotoOptions photo;
  RemarkOptions remark;
  DeleteOptions deletion;
  WiringOptions wiring;
  CompareOptions compare;
  AgeingOptions ageing;
  std::string archive, run_id, out, svg, operation, from;
  bool shows_wiring = false;
  std::vector<std::string> run_ids, operations, ports, words;
  bool json = false, list = false, again = false;
  reports::ReportOptions options;
  std::function<int()> chosen;
};

/// A command; `command` is called when it was chosen, and gives the exit code.
CLI::App* add(CommandLine& line, const std::string& word, const std::string& does,
              std::function<int()> command);

/// What needs instruments, and what is done before they are connected.
void add_bench_commands(CommandLine& line);
/// What reads and changes an archive.
void add_archive_commands(CommandLine& line);

}  // namespace sagbench::bench
