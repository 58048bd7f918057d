#pragma once
// How pack, instruments and surroundings were joined in a run, for its record.

#include <string>
#include <utility>
#include <vector>

#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Names and values: where the voltage was sensed, cells, thermometer, leads, what the temperature
/// was. What the bench file does not state is said to be so. Nothing for data measured elsewhere.
std::vector<std::pair<std::string, std::string>> wiring_words(const ReportInput& input);

}  // namespace sagbench::reports
