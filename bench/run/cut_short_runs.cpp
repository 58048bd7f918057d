#include "bench/run/cut_short_runs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <ranges>
#include <utility>

#include "bench/files/input_error.hpp"
#include "bench/text/duration_text.hpp"

namespace sagbench::bench {

using analysis::Finding;
using reports::Archive;
using reports::RunClaim;
using reports::RunEnd;
using reports::RunRecord;

namespace {

double measured_s(const RunRecord& record) {
  return record.samples.empty() ? 0.0 : record.samples.back().time_s;
}

/// A record that this program cannot read any more is no reason to refuse another run.
Finding<Continuation> judged(const Archive& archive, const RunRecord& record, const AtHand& now) {
  try {
    return continuation_of(record, now, archive.run_after(record.id));
  } catch (const InputError& error) {
    return Finding<Continuation>::missing(error.what());
  }
}

/// Also told by their identities: the port may have another name by now.
bool same_load(const RunRecord& record, const AtHand& now) {
  const auto identity = [](const std::vector<reports::Instrument>& instruments) {
    const auto load = std::find_if(instruments.begin(), instruments.end(),
                                   [](const auto& each) { return each.role == "load"; });
    return load == instruments.end() ? std::string() : load->identity;
  };
  return identity(record.header.instruments) == identity(now.instruments);
}

InputError still_written(const std::string& path, const std::string& run_id) {
  return InputError(
      fmt::format("{}: run {} is still being written by another sagbench; --continue "
                  "takes a run that was cut short",
                  path, run_id));
}

InputError has_ended(const std::string& path, const std::string& run_id) {
  return InputError(fmt::format(
      "{}: run {} has come to its end; --continue takes a run that was cut short", path, run_id));
}

/// One that was closed as interrupted may be opened again.
bool is_open(RunEnd end) {
  return end == RunEnd::running || end == RunEnd::interrupted;
}

std::string reason_for(const RunRecord& record) {
  return fmt::format("{} after {}", kDied, duration_text(measured_s(record)));
}

}  // namespace

bool holds_cut_short_run(const std::string& path) {
  try {
    const auto runs = Archive(path, Archive::Access::read).runs();
    return std::any_of(runs.begin(), runs.end(), [&path](const auto& run) {
      return run.end == RunEnd::running && !RunClaim::is_held(path, run.id);
    });
  } catch (const reports::ArchiveError&) {
    return false;
  }
}

std::vector<CutShortRun> cut_short_runs(const Archive& archive, const std::string& path,
                                        const AtHand& now, const std::string& except) {
  std::vector<CutShortRun> found;
  const auto runs = archive.runs();
  for (const auto& run : std::views::reverse(runs)) {
    if (run.end != RunEnd::running || run.id == except) continue;
    auto claim = RunClaim::take(path, run.id);
    if (!claim) continue;
    RunRecord record = archive.load(run.id);
    if (record.closing.end != RunEnd::running) continue;  // its process ended it just now
    auto continuation = judged(archive, record, now);
    found.push_back({std::move(record), *std::move(claim), std::move(continuation)});
  }
  return found;
}

void require_cut_short(const Archive& archive, const std::string& path, const std::string& run_id) {
  if (RunClaim::is_held(path, run_id)) throw still_written(path, run_id);
  const auto runs = archive.runs();
  const auto run =
      std::find_if(runs.begin(), runs.end(), [&](const auto& each) { return each.id == run_id; });
  if (!is_open(run->end)) throw has_ended(path, run_id);
}

CutShortRun run_to_continue(const Archive& archive, const std::string& path,
                            const std::string& id_or_prefix, const AtHand& now) {
  const std::string id = archive.find_run(id_or_prefix);
  auto claim = RunClaim::take(path, id);
  if (!claim) throw still_written(path, id);
  RunRecord record = archive.load(id);
  if (!is_open(record.closing.end)) throw has_ended(path, id);
  auto continuation = judged(archive, record, now);
  return {std::move(record), *std::move(claim), std::move(continuation)};
}

void close_as_interrupted(Archive& archive, const CutShortRun& run, const AtHand& now) {
  const RunRecord& record = run.record;
  if (record.closing.end != RunEnd::running) return;
  const std::string reason = reason_for(record);
  archive.transaction([&] {
    if (!record.steps.empty() && record.steps.back().end == analysis::StepEnd::interrupted) {
      reports::StepRow step = record.steps.back();
      step.end_s = std::max(step.start_s, measured_s(record));
      if (step.why.empty()) step.why = kDied;
      archive.put_step(record.id, static_cast<int>(record.steps.size()) - 1, step);
    }
    archive.add_event(record.id, {measured_s(record), "stop", reason});
    archive.close_run(record.id, {RunEnd::interrupted, reason, same_load(record, now)});
  });
}

void open_again(Archive& archive, const std::string& run_id, const Continuation& go) {
  archive.transaction([&] {
    archive.put_gap(run_id, go.gap_index, go.gap);
    archive.put_step(run_id, go.row, go.step);
    archive.add_event(
        run_id, {go.gap.end_s, "note",
                 fmt::format("went on after {} in which nobody watched; the load drew on for at "
                             "most {:.0f} s of it, so {:.4f} Ah are in doubt either way",
                             duration_text(go.gap.end_s - go.gap.start_s), go.gap.longest_on_s,
                             half_width_ah(go.gap))});
    archive.close_run(run_id, {});
  });
}

std::string words_on(const CutShortRun& run, const AtHand& now, const std::string& path) {
  const RunRecord& record = run.record;
  std::string text = fmt::format("{}: run {} of {} was cut short after {}", path, record.id,
                                 record.header.pack_name, duration_text(measured_s(record)));
  text +=
      run.continuation
          ? fmt::format(" and can go on with --continue {}; this new run gives it up", record.id)
          : " and is closed as incomplete; its samples are kept";
  if (!same_load(record, now))
    text += "; its load is another than this one: make sure that it is off";
  return text;
}

}  // namespace sagbench::bench
