// Why a figure is missing, and what an operation's hours leave open, word by word.

#include <algorithm>
#include <string>

#include "analysis/endurance.hpp"
#include "analysis/prediction.hpp"
#include "analysis/temperature_factor.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;
using testing::qro_radio;
using testing::RunBuilder;

Recording measured() {
  RunBuilder run;
  run.step(StepKind::rest).rest(10);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0);
  return run.recording();
}

Operation operation_with(const Radio& radio) {
  Operation operation;
  operation.radio = radio;
  operation.mode = Mode::cw;
  operation.transmit_share = 0.5;
  operation.hours = 2.0;
  return operation;
}

}  // namespace

TEST_CASE("a radio that bears less than the full pack's voltage is told both") {
  const Recording recording = measured();
  Radio radio = qro_radio();
  radio.supply_min_v = 5.0;
  radio.supply_max_v = 6.0;
  const auto found = endurance(recording, analyse(recording), operation_with(radio));
  CHECK_FALSE(found.hours);
  CHECK(mentions(found.hours.why(), " V, above the radio's 6.00 V."));
}

TEST_CASE("an operation in the cold and a run whose temperature nobody read") {
  Recording recording = measured();
  for (Sample& sample : recording.samples) sample.temperature_c.reset();
  Operation operation = operation_with(qro_radio());
  operation.temperature_c = 5.0;
  const auto found = endurance(recording, analyse(recording), operation);
  CHECK(std::any_of(found.cautions.begin(), found.cautions.end(), [](const std::string& caution) {
    return mentions(caution, "The temperature of the run was not measured; the operation is at ");
  }));
}

// The radio fell silent at its first reading.
TEST_CASE("a radio that gets nothing out of a pack has no energy to bring") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  run.transmit_step(qro_radio(), StepEnd::supply_min).hold(Phase::dropped_out, 0.0, 2.0, 1.0);
  const Recording& recording = run.recording();
  const auto found = endurance(recording, analyse(recording), operation_with(qro_radio()));
  REQUIRE(found.hours);
  CHECK(found.hours->value == 0.0);
  CHECK(found.energy_to_bring_wh.why() == "the pack gives this radio no charge");
}

TEST_CASE("a radio whose supply was too low from the start has no hours") {
  RunBuilder run;
  run.step(StepKind::rest).rest(10);
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  Radio radio = qro_radio();
  radio.supply_min_v = 13.9;
  run.transmit_step(radio).hold(Phase::transmit, 20.0, 720.0, 2.0);
  const Recording& recording = run.recording();
  const auto found = endurance(recording, analyse(recording), operation_with(radio));
  CHECK_FALSE(found.hours);
  CHECK(mentions(found.hours.why(), "the pack does not suit this radio: "));
  CHECK(found.limited_by == "sag");
}

TEST_CASE("a radio that the plan has and nobody tested counts the whole capacity, which is said") {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(10.0, 2.0, 5.0).full();
  run.transmit_step(qro_radio(), StepEnd::skipped);
  const Recording& recording = run.recording();
  const auto found = endurance(recording, analyse(recording), operation_with(qro_radio()));
  REQUIRE_FALSE(found.cautions.empty());
  CHECK(found.cautions.front() ==
        "Nobody measured where this radio would leave the air; the hours count the whole "
        "capacity.");
}

TEST_CASE("a run that removed no charge tells nothing of another temperature") {
  const RatePoint nothing{2.0, {0.0, 0.0, 2.0}, 10.5, 20.0};
  CHECK(temperature_factor(nothing, {}, Chemistry::agm, 0.5, 0.0, 10.0).why() ==
        "the run removed no charge");
}

TEST_CASE("nobody predicts a radio that sends nothing") {
  CHECK(predict(measured(), Outing{}).why() == "nothing is sent");
}

}  // namespace sagbench::analysis
