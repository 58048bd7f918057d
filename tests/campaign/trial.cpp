#include "trial.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "bench/files/input_error.hpp"
#include "bench/safety/stop.hpp"
#include "judge.hpp"
#include "reports/archive.hpp"
#include "stage.hpp"

namespace sagbench::campaign {
namespace {

constexpr double kBeforeNextStart_s = 20.0;  // the load's watchdog has bitten by then
constexpr double kAfterwards_s = 60.0;

bench::RunRequest request_for(const Scene& scene, const bench::Plan& plan,
                              const std::string& archive) {
  bench::RunRequest request;
  request.on = bench_and_pack(scene);
  request.plan = plan;
  request.archive_path = archive;
  request.attended = !scene.guarded();
  request.seed = scene.seed;
  return request;
}

/// Runs one program to its end, whatever that is.
Program run_program(Stage& stage, const bench::RunRequest& request) {
  Program program;
  program.began_s = drivers::to_seconds(stage.now());
  try {
    const bench::RunResult result = bench::run_session(request, stage.surroundings());
    program.run_id = result.run_id;
    program.closing = result.closing;
  } catch (const bench::InputError& error) {
    program.how = Program::How::refused;
    program.words = error.what();
  } catch (const bench::Stop& stop) {
    program.how = Program::How::no_bench;
    program.words = stop.what();
  } catch (const reports::ArchiveError& error) {
    program.how = Program::How::no_archive;
    program.words = error.what();
  } catch (const Crash&) {
    program.how = Program::How::died;
  } catch (const Overdue&) {
    program.how = Program::How::overdue;
  }
  stage.program_left();
  program.left_s = drivers::to_seconds(stage.now());
  if (program.how == Program::How::died)
    stage.witness().died(stage.now());
  else if (program.words.find("pull the pack's lead") != std::string::npos)
    stage.witness().alarmed(stage.now());
  else if (program.how == Program::How::ended)
    stage.witness().ended(stage.now(), program.closing.load_confirmed_off);
  return program;
}

void trace_archive(const std::string& path, Trace& trace) {
  try {
    const reports::Archive archive(path, reports::Archive::Access::read);
    for (const reports::RunSummary& summary : archive.runs()) {
      const reports::RunRecord record = archive.load(summary.id);
      trace.add({}, "run",
                fmt::format("{} {} {}", record.id, static_cast<int>(record.closing.end),
                            record.closing.reason));
      for (const reports::Event& event : record.events)
        trace.add(drivers::from_seconds(event.time_s), event.severity, event.text);
      for (const analysis::Sample& sample : record.samples)
        trace.add(drivers::from_seconds(sample.time_s), "sample",
                  fmt::format("{} {} {} {}", sample.step, sample.voltage_v, sample.current_a,
                              sample.commanded_a));
    }
  } catch (const reports::ArchiveError& error) {
    trace.add({}, "archive", std::filesystem::exists(path) ? "cannot be read" : "none");
  }
}

void clear(const std::string& archive) {
  for (const char* suffix : {"", "-wal", "-shm", "-journal"}) {
    std::error_code ignored;
    std::filesystem::remove(archive + suffix, ignored);
  }
}

}  // namespace

std::string ending_of(const Program& program) {
  switch (program.how) {
    case Program::How::refused:
      return "refused";
    case Program::How::no_bench:
      return "no bench";
    case Program::How::no_archive:
      return "no archive";
    case Program::How::died:
      return "died";
    case Program::How::overdue:
      return "overdue";
    case Program::How::ended:
      break;
  }
  switch (program.closing.end) {
    case reports::RunEnd::done:
      return program.went_on ? "done after going on" : "done";
    case reports::RunEnd::safety:
      return "safety";
    case reports::RunEnd::instrument:
      return "instrument";
    case reports::RunEnd::operator_stop:
      return "operator";
    default:
      return fmt::format("end {}", static_cast<int>(program.closing.end));
  }
}

/// The run that a dead program left behind; empty where there is none.
std::string run_left_behind(const std::string& path) {
  try {
    const reports::Archive archive(path, reports::Archive::Access::read);
    const auto runs = archive.runs();
    return runs.empty() ? std::string() : runs.front().id;
  } catch (const reports::ArchiveError&) {
    return {};
  }
}

/// The operator goes on with the run every other time; else, or where it cannot go on, he begins
/// another.
void start_again(const Scene& scene, Stage& stage, const std::string& archive, Report& report) {
  stage.pass(kBeforeNextStart_s);
  const std::string left = scene.seed % 2 == 0 ? run_left_behind(archive) : std::string();
  if (!left.empty()) {
    bench::RunRequest request = request_for(scene, plan_of(scene), archive);
    request.continue_run = left;
    stage.witness().discharge_goes_on();
    report.programs.push_back(run_program(stage, request));
    report.programs.back().went_on = true;
    if (report.programs.back().how != Program::How::refused) return;
  }
  report.programs.push_back(run_program(stage, request_for(scene, short_rest(), archive)));
}

Report run_trial(const Scene& scene, const std::vector<Fault>& faults, Disk& disk,
                 const std::string& folder, const TrialOptions& options) {
  const std::string archive = folder + "/archive.db";
  clear(archive);
  Trace trace(options.keep_trace);
  Stage stage(scene, faults, disk, trace);
  stage.fail_operation(options.failing_operation, options.failing_how);
  Report report;
  report.disk_failed = options.disk_fails;
  report.programs.push_back(run_program(stage, request_for(scene, plan_of(scene), archive)));
  if (report.programs.back().how == Program::How::died) start_again(scene, stage, archive, report);
  report.world_s = drivers::to_seconds(stage.now());
  stage.pass(kAfterwards_s);
  disk.heal();
  judge(scene, faults, stage, archive, report);
  for (const std::string& failure : stage.witness().failures()) report.failures.push_back(failure);
  trace_archive(archive, trace);
  for (std::size_t i = 0; i < faults.size(); ++i) report.begun.push_back(stage.begun().contains(i));
  report.least_reserve_s = stage.witness().least_reserve_s();
  report.operations = stage.operations();
  report.digest = trace.digest();
  report.trace = trace.text();
  clear(archive);
  return report;
}

}  // namespace sagbench::campaign
