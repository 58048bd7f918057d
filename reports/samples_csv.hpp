#pragma once
// Samples, and what the radio asked for, for other programs: CSV files, which `sagbench import`
// reads as well.

#include <iosfwd>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "reports/run_record.hpp"

namespace sagbench::reports {

/// Header `time_s,voltage_V,current_A,temperature_C,...,cell_1_V,...`, one line a sample, comma,
/// decimal point, LF. Numbers are the shortest that read back unchanged; what was not measured is
/// an empty field. The caller checks the stream afterwards.
void write_samples_csv(std::ostream& out, std::span<const analysis::Sample> samples);

/// What write_samples_csv() wrote, unchanged; for any other text a CsvError that names `path` and
/// the line.
std::vector<analysis::Sample> read_samples_csv(std::string_view text, const std::string& path);

/// Header `step,start_s,current_A`.
std::string asked_csv(std::span<const AskedRow> asked);
/// The reverse, as read_samples_csv().
std::vector<AskedRow> read_asked_csv(std::string_view text, const std::string& path);

}  // namespace sagbench::reports
