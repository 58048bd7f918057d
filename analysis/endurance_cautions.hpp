#pragma once
// What an owner must know before trusting the hours of an operation.

#include <string>
#include <vector>

#include "analysis/operation_case.hpp"

namespace sagbench::analysis {

/// Sentences: what was not tested, not measured, or measured otherwise than the operation needs.
/// `rate_known`: the capacity of the case is that at its mean current.
std::vector<std::string> endurance_cautions(const OperationCase& asked, bool rate_known);

}  // namespace sagbench::analysis
