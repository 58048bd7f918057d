#pragma once
// Runs of one pack at several currents, among the runs of a comparison.

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "analysis/peukert.hpp"
#include "reports/comparison_report.hpp"

namespace sagbench::reports {

/// From the whole discharges of all runs of the same pack (name, serial, chemistry, make-up and
/// rating alike) as `run`.
analysis::Finding<analysis::Peukert> peukert_of(const std::vector<RunDigest>& runs,
                                                const RunDigest& run);

/// Exponent, the currents it holds between, cautions, and the capacity at the mean current of each
/// of the operations.
nlohmann::ordered_json peukert_json(const analysis::Peukert& peukert, const RunDigest& run,
                                    const std::vector<analysis::Operation>& operations);

/// What is to be said of each pack with two runs or more; a pack's sentences are one entry.
std::vector<std::string> rate_sentences(const ComparisonRequest& request);

}  // namespace sagbench::reports
