#include "bench/run/predictions.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "analysis/on_air.hpp"
#include "analysis/sample_series.hpp"
#include "bench/files/json_reader.hpp"
#include "bench/radio/radio_pattern.hpp"

namespace sagbench::bench {

using analysis::PredictionTest;
using analysis::Recording;
using analysis::StepEnd;

namespace {

constexpr double kTypical_s = 2.0 * 3600.0;
constexpr std::uint64_t kTypicalSeed = 1;

/// All that was there before the step began.
Recording before_step(const Recording& recording, int step) {
  Recording before = recording;
  before.steps.resize(static_cast<std::size_t>(step));
  std::erase_if(before.samples, [step](const analysis::Sample& s) { return s.step >= step; });
  std::erase_if(before.gaps, [&](const analysis::Gap& gap) {
    return before.samples.empty() || gap.end_s > before.samples.back().time_s;
  });
  return before;
}

std::string subject(const PredictionTest& test) {
  return fmt::format("{} {} with {}", analysis::name_of(test.radio_class),
                     analysis::name_of(test.mode), test.radio);
}

}  // namespace

analysis::Outing outing_of(const TransmitStep& step, double charge_before_ah) {
  analysis::Outing outing;
  outing.radio = step.radio;
  outing.until_supply_min = step.until_supply_min;
  outing.charge_before_ah = charge_before_ah;
  if (step.seconds) outing.hours = *step.seconds / 3600.0;
  RadioPattern pattern(step.sending, kTypicalSeed);
  for (double sent_s = 0.0; sent_s < kTypical_s;) {
    const Segment segment = pattern.next();
    outing.sent.push_back({segment.seconds, segment.transmitting, segment.level});
    sent_s += segment.seconds;
  }
  return outing;
}

PredictionTest prediction_test(const Recording& recording, int step, const TransmitStep& planned) {
  const analysis::Step& row = recording.steps[static_cast<std::size_t>(step)];
  PredictionTest test;
  test.step = step;
  test.radio = planned.radio.name;
  test.radio_class = planned.radio.radio_class;
  test.mode = planned.sending.mode;
  test.predicted =
      analysis::predict(before_step(recording, step), outing_of(planned, row.charge_before_ah));
  return test;
}

void compare(PredictionTest& test, const Recording& recording) {
  if (analysis::defect_of(recording)) return;
  for (const analysis::OnAir& air : analysis::on_air(recording)) {
    if (air.step != test.step) continue;
    test.lowest_supply_v = air.lowest_supply_v;
    if (ended_by_pack(air.ended_by)) test.hours = air.hours;
  }
}

std::vector<PredictionTest> prediction_tests(const reports::RunRecord& record,
                                             const Recording& recording) {
  std::vector<PredictionTest> tests;
  for (std::size_t i = 0; i < record.steps.size(); ++i) {
    const reports::StepRow& row = record.steps[i];
    if (row.kind != analysis::StepKind::transmit || row.end == StepEnd::skipped) continue;
    const std::string origin = "run " + record.id;
    const PlanStep step = step_from_json(parse_json(row.parameters_json, origin), origin);
    tests.push_back(
        prediction_test(recording, static_cast<int>(i), std::get<TransmitStep>(step.what)));
    compare(tests.back(), recording);
  }
  return tests;
}

std::string prediction_words(const PredictionTest& test) {
  if (!test.predicted)
    return fmt::format("no prediction for {}: {}", subject(test), test.predicted.why());
  const analysis::Prediction& found = *test.predicted;
  return fmt::format(
      "predicted for {}: {:.2f} +/- {:.2f} h on the air (limited by {}); lowest supply in this "
      "step {:.2f} +/- {:.2f} V",
      subject(test), found.hours.value, found.hours.expanded_uncertainty, found.limited_by,
      found.lowest_supply_v.value, found.lowest_supply_v.expanded_uncertainty);
}

std::string outcome_words(const PredictionTest& test) {
  if (!test.predicted)
    return fmt::format("nothing to compare for {}: {}", subject(test), test.predicted.why());
  const analysis::Prediction& found = *test.predicted;
  std::string text = fmt::format("measured for {}: ", subject(test));
  if (test.hours)
    text += fmt::format("{:.2f} h on the air, predicted {:.2f} h ({:+.1f} %)", *test.hours,
                        found.hours.value, 100.0 * (found.hours.value / *test.hours - 1.0));
  else
    text +=
        fmt::format("still on the air at the step's end, predicted {:.2f} h", found.hours.value);
  if (test.lowest_supply_v)
    text += fmt::format("; lowest supply {:.3f} V, predicted {:.3f} V ({:+.0f} mV)",
                        *test.lowest_supply_v, found.lowest_supply_v.value,
                        1000.0 * (found.lowest_supply_v.value - *test.lowest_supply_v));
  return text;
}

}  // namespace sagbench::bench
