#pragma once
#include <string>
#include <vector>

#include "reports/test_report.hpp"

namespace sagbench::bench {

/// What an operator wants to know, at most 25 lines of 80 columns. `folder` is where the files lie.
std::string demo_summary(const std::vector<reports::ReportInput>& inputs,
                         const std::string& folder);

}  // namespace sagbench::bench
