#include "analysis/measured_data.hpp"

#include <utility>

namespace sagbench::analysis {
namespace {

Step imported_step(const std::vector<Sample>& samples) {
  Step step;
  step.kind = StepKind::imported;
  step.end = StepEnd::completed;
  if (samples.empty()) return step;
  step.start_s = samples.front().time_s;
  step.end_s = samples.back().time_s;
  return step;
}

}  // namespace

BenchAccuracy unstated_accuracy(const Pack& pack) {
  BenchAccuracy accuracy;
  accuracy.load_voltage = default_voltage_accuracy(end_of_charge_voltage_v(pack));
  accuracy.load_current = default_current_accuracy(current_limit_a(pack));
  accuracy.defaulted = true;
  return accuracy;
}

Recording measured_recording(Pack pack, std::vector<Sample> samples) {
  Recording recording;
  recording.accuracy = unstated_accuracy(pack);
  recording.current_limit_a = current_limit_a(pack);
  recording.pack = std::move(pack);
  recording.steps.push_back(imported_step(samples));
  recording.samples = std::move(samples);
  recording.complete = true;
  for (Sample& sample : recording.samples) {
    sample.phase = Phase::imported;
    sample.step = 0;
  }
  return recording;
}

}  // namespace sagbench::analysis
