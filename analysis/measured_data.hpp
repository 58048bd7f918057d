#pragma once
// What another instrument or logger wrote down, made into what analyse() takes.

#include <vector>

#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// Of instruments nobody has stated the accuracy of: the wide defaults, with the pack's
/// end-of-charge voltage and its current limit for ranges.
BenchAccuracy unstated_accuracy(const Pack& pack);

/// One imported step of all the samples; of these time, voltage, current and, where they are there,
/// temperature and cells count. Its accuracy is unstated_accuracy() until the caller knows better.
/// No samples, or unsound ones, are not refused here: analyse() says of each figure why it is
/// missing.
Recording measured_recording(Pack pack, std::vector<Sample> samples);

}  // namespace sagbench::analysis
