// What a person is told of a prediction once its step is done, word by word.
#include "bench/run/predictions.hpp"

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

analysis::PredictionTest predicted(double hours) {
  analysis::PredictionTest test;
  test.radio = "Q1";
  test.mode = analysis::Mode::cw;
  test.predicted = analysis::Prediction{{hours, 0.1, 2.0}, "supply_min", {11.05, 0.05, 2.0}, 1.2};
  test.lowest_supply_v = 11.0;
  return test;
}

}  // namespace

TEST_CASE("measured hours stand beside those that were predicted") {
  auto test = predicted(2.1);
  test.hours = 2.0;
  CHECK(outcome_words(test) ==
        "measured for QRP cw with Q1: 2.00 h on the air, predicted 2.10 h (+5.0 %); lowest supply "
        "11.000 V, predicted 11.050 V (+50 mV)");
  test.hours.reset();
  CHECK(outcome_words(test) ==
        "measured for QRP cw with Q1: still on the air at the step's end, predicted 2.10 h; lowest "
        "supply 11.000 V, predicted 11.050 V (+50 mV)");
}

TEST_CASE("where nothing is predicted there is nothing to compare, and why") {
  analysis::Recording recording;
  recording.pack.rated_capacity_ah = 10.0;
  recording.steps.resize(2);
  recording.steps[1].kind = analysis::StepKind::transmit;
  recording.samples.resize(1);
  TransmitStep planned;
  planned.radio.name = "Q1";
  planned.sending.mode = analysis::Mode::cw;
  planned.sending.transmit_share = 0.5;
  const auto test = prediction_test(recording, 1, planned);
  CHECK(prediction_words(test) == "no prediction for QRP cw with Q1: the run has no capacity step");
  CHECK(outcome_words(test) ==
        "nothing to compare for QRP cw with Q1: the run has no capacity step");
}
