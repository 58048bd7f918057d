#include "bench/run/loaded_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "analysis/measured_data.hpp"
#include "bench/files/bench_file.hpp"
#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/run/predictions.hpp"
#include "bench/safety/limits.hpp"
#include "reports/sha256.hpp"

namespace sagbench::bench {
namespace {

/// Fills in what the plan asked of this step.
struct Describe {
  analysis::Step& step;
  const analysis::Pack& pack;

  void operator()(const RestStep&) const {}
  void operator()(const CapacityStep& s) const { step.current_a = s.current_for(pack); }
  void operator()(const PeakCurrentStep& s) const {
    step.currents_a = s.currents_a;
    step.at_charge = s.at_charge;
  }
  void operator()(const TransmitStep& s) const {
    step.radio = s.radio;
    step.mode = s.sending.mode;
    step.transmit_share = s.sending.transmit_share;
  }
};

analysis::Step step_of(const reports::StepRow& row, const analysis::Pack& pack,
                       const std::string& origin) {
  analysis::Step step;
  step.kind = row.kind;
  step.start_s = row.start_s;
  step.end_s = row.end_s;
  step.end = row.end;
  step.why = row.why;
  step.charge_before_ah = row.charge_before_ah;
  const bool planned =
      row.kind != analysis::StepKind::recharge && row.kind != analysis::StepKind::imported;
  if (planned)
    std::visit(Describe{step, pack},
               step_from_json(parse_json(row.parameters_json, origin), origin).what);
  return step;
}

}  // namespace

std::vector<analysis::Step> steps_of(const reports::RunRecord& record, const analysis::Pack& pack) {
  std::vector<analysis::Step> steps;
  for (const reports::StepRow& row : record.steps)
    steps.push_back(step_of(row, pack, "run " + record.id));
  return steps;
}

analysis::Recording recording_of(reports::RunRecord& record) {
  const std::string origin = "run " + record.id;
  analysis::Recording recording;
  recording.run_id = record.id;
  recording.pack = pack_from_json(parse_json(record.header.pack_json, origin), origin);
  if (record.header.bench_json.empty()) {
    recording.accuracy = analysis::unstated_accuracy(recording.pack);
    recording.current_limit_a = analysis::current_limit_a(recording.pack);
  } else {
    const Bench bench = bench_from_json(parse_json(record.header.bench_json, origin), origin);
    recording.accuracy = accuracy_of(bench);
    recording.current_limit_a = limits_for(recording.pack, bench).current_a;
    recording.load_current_limit_a = bench.load.max_current_a;
  }
  recording.steps = steps_of(record, recording.pack);
  for (const reports::AskedRow& row : record.asked)
    if (row.step >= 0 && static_cast<std::size_t>(row.step) < recording.steps.size())
      recording.steps[static_cast<std::size_t>(row.step)].asked.push_back(row.asked);
  recording.samples = std::exchange(record.samples, {});
  recording.gaps = record.gaps;
  recording.complete =
      record.closing.end == reports::RunEnd::done &&
      std::none_of(record.steps.begin(), record.steps.end(), [](const auto& step) {
        return step.end == analysis::StepEnd::skipped || step.end == analysis::StepEnd::interrupted;
      });
  return recording;
}

reports::ReportInput read_run(const reports::Archive& archive, const std::string& id_or_prefix) {
  reports::ReportInput input;
  input.record = archive.load(id_or_prefix);
  input.recording = recording_of(input.record);
  return input;
}

void analyse_whole(reports::ReportInput& input) {
  input.figures = analysis::analyse(input.recording);
  input.figures.predictions = prediction_tests(input.record, input.recording);
  analysis::add_charge_circuit(input.recording, input.figures);
}

reports::ReportInput load_measured_run(const reports::Archive& archive,
                                       const std::string& id_or_prefix) {
  reports::ReportInput input = read_run(archive, id_or_prefix);
  input.figures = analysis::analyse(input.recording);
  return input;
}

reports::ReportInput load_run(const reports::Archive& archive, const std::string& id_or_prefix) {
  reports::ReportInput input = load_measured_run(archive, id_or_prefix);
  input.figures.predictions = prediction_tests(input.record, input.recording);
  return input;
}

reports::ReportInput load_whole_run(const reports::Archive& archive,
                                    const std::string& id_or_prefix) {
  reports::ReportInput input = read_run(archive, id_or_prefix);
  analyse_whole(input);
  return input;
}

bool load_photos(const reports::Archive& archive, const std::string& path,
                 reports::RunRecord& record) {
  bool sound = true;
  for (reports::Photo& photo : record.photos) {
    std::string data = archive.photo_data(record.id, photo.sha256);
    if (reports::hash_of(data) == photo.sha256) {
      photo.data = std::move(data);
      continue;
    }
    sound = false;
    fmt::print(stderr,
               "sagbench: {}: run {}: photo {} differs from what was added and is left out\n", path,
               record.id, photo.name);
  }
  return sound;
}

}  // namespace sagbench::bench
