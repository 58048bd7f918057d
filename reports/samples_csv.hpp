#pragma once
// Samples for other programs: one CSV file, which `sagbench import` reads as well.

#include <iosfwd>
#include <span>

#include "analysis/recording.hpp"

namespace sagbench::reports {

/// Header `time_s,voltage_V,current_A,temperature_C,...,cell_1_V,...`, one line a sample, comma,
/// decimal point, LF. Numbers are the shortest that read back unchanged; what was not measured is
/// an empty field. The caller checks the stream afterwards.
void write_samples_csv(std::ostream& out, std::span<const analysis::Sample> samples);

}  // namespace sagbench::reports
