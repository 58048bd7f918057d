#pragma once
// What the run's own measurements promise a transmit step, and what became of the promise.

#include <string>
#include <vector>

#include "analysis/prediction.hpp"
#include "bench/files/plan_file.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

/// The step as prediction sees it: two hours of a typical pattern, not the very one that will be
/// sent.
analysis::Outing outing_of(const TransmitStep& step, double charge_before_ah);

/// The prediction for transmit step `step` of the recording, from the steps before it.
/// Precondition: that step has a radio.
analysis::PredictionTest prediction_test(const analysis::Recording& recording, int step,
                                         const TransmitStep& planned);
/// Adds what is recorded of the step to what was predicted of it.
void compare(analysis::PredictionTest& test, const analysis::Recording& recording);

/// Of all transmit steps that were run, compared. `record` must be the recording's own.
std::vector<analysis::PredictionTest> prediction_tests(const reports::RunRecord& record,
                                                       const analysis::Recording& recording);

/// One line each for the person and the record.
std::string prediction_words(const analysis::PredictionTest& test);
std::string outcome_words(const analysis::PredictionTest& test);

}  // namespace sagbench::bench
