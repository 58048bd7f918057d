#pragma once
// What a plan's step is called where people read it.

#include <string>

#include "bench/files/plan_file.hpp"

namespace sagbench::bench {

/// "capacity at 2 A".
std::string step_label(const PlanStep& step, const analysis::Pack& pack);

}  // namespace sagbench::bench
