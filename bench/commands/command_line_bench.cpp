// Commands of the bench: to the files, the ports, a run.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "bench/commands/command_line_parts.hpp"
#include "bench/forms/form.hpp"
#include "bench/system/terminal.hpp"

namespace sagbench::bench {
namespace {

void add_new(CommandLine& line) {
  auto& options = line.made;
  CLI::App* made = add(line, "new", "asks plain questions and writes a pack, bench, ... file", [&] {
    options.at_terminal = stdin_is_terminal();
    return command_new(options);
  });
  made->add_option("kind", options.kind, "pack, bench, radio, operation or plan")
      ->required()
      ->check(CLI::IsMember(form_kinds()));
  made->add_option("told", options.told, "KEY=VALUE as in the file; with any, nothing is asked");
  made->add_option("--out", options.out, "file to write; without, kind.json here");
}

void add_probe(CommandLine& line) {
  auto& options = line.probe;
  CLI::App* probe = add(line, "probe", "works out an instrument's dialect; its input stays off",
                        [&] { return command_probe(options); });
  probe->add_option("port", options.port, "tcp:HOST:PORT, or the path of a device")->required();
  probe->add_option("--out", options.out, "dialect file to write, for \"dialect\" in a bench file");
  probe->add_option("--baud", options.baud, "speed of the line; without, common ones are tried");
}

}  // namespace

void add_bench_commands(CommandLine& line) {
  auto& run = line.run;
  CLI::App* demo = add(line, "demo", "the whole job on the virtual bench: archive, analysis, PDFs",
                       [&] { return command_demo(line.demo); });
  demo->add_option("--out", line.demo.out, "folder for everything it makes")->capture_default_str();
  demo->add_option("--seed", line.demo.seed, "another seed, other packs")->capture_default_str();

  CLI::App* ports = add(line, "ports", "serial ports, and who answers *IDN? on each",
                        [&] { return command_ports(line.ports, line.json); });
  ports->add_option("port", line.ports,
                    "to look at as well: tcp:HOST:PORT, or the path of a device");
  ports->add_flag("--json", line.json, "one JSON document and nothing else");
  add_probe(line);

  add_new(line);

  CLI::App* check =
      add(line, "check", "before a run: wiring, voltages, temperature; the input stays off",
          [&] { return command_check(run.bench, run.pack, run.seed); });
  CLI::App* go = add(line, "run", "one run; prints its id", [&] {
    run.watch = live::watch_for(line.page, run.archive);
    return command_run(run);
  });
  for (CLI::App* sub : {check, go}) {
    sub->add_option("--bench", run.bench, "bench file")->required();
    sub->add_option("--pack", run.pack, "pack file")->required();
    sub->add_option("--seed", run.seed, "of the virtual bench and the operator's pattern")
        ->capture_default_str();
  }
  go->add_option("--plan", run.plan, "plan file")->required();
  go->add_option("--archive", run.archive, "archive; made when missing")->required();
  go->add_option("--continue", run.continue_run,
                 "goes on with a run that was cut short in its capacity step");
  go->add_flag("--attended", run.attended, "a person stays by the pack for the whole run");
  go->add_flag("--quiet", run.quiet, "no status; warnings and faults are still told");
  go->add_option("--live", line.page.address,
                 "serves a page to watch and stop the run, as 127.0.0.1:8073");
  go->add_flag("--stay", line.page.stay, "the page stays after the run, until Ctrl-C");

  CLI::App* foresee =
      add(line, "plan", "how long a plan takes, how much charge and heat; nothing is connected",
          [&] { return command_plan(run.bench, run.pack, run.plan); });
  foresee->add_option("--bench", run.bench, "bench file")->required();
  foresee->add_option("--pack", run.pack, "pack file")->required();
  foresee->add_option("--plan", run.plan, "plan file")->required();

  CLI::App* explain = add(line, "explain", "what a word of the reports means", [&] {
    return command_explain(fmt::format("{}", fmt::join(line.words, " ")));
  });
  explain->add_option("term", line.words, "such as: state of charge; without, all are listed");

  CLI::App* serve =
      add(line, "virtual", "serves the virtual instruments in real time to any SCPI client",
          [&] { return command_virtual(line.serve); });
  serve->add_option("--bench", line.serve.bench, "bench file")->required();
  serve->add_option("--pack", line.serve.pack, "pack file")->required();
  serve->add_option("--serve", line.serve.way, "pty or tcp")
      ->check(CLI::IsMember({"pty", "tcp"}))
      ->capture_default_str();
  serve->add_option("--seed", line.serve.seed, "another seed, another pack")->capture_default_str();
}

}  // namespace sagbench::bench
