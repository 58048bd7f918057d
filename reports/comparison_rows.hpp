#pragma once
// Several runs put in order, and what may be said about their differences.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "reports/test_report.hpp"

namespace sagbench::reports {

struct ComparisonRow {
  const ReportInput* input = nullptr;  // lent
  int rank = 0;                        // 1 is best; a tie shares the rank of the row above
  bool tie = false;                    // with the row above
  std::optional<double> usable_qro_ah;
  const analysis::Rating* qrp = nullptr;  // lent; null: not rated
  const analysis::Rating* qro = nullptr;
  std::optional<double> energy_per_mass_wh_kg;
};

/// Best first: runs with a usable QRO capacity by it, then those with only a capacity by that, then
/// the rest in the order given. A difference smaller than the root sum of squares of both
/// capacities' expanded uncertainties is a tie, and so is a minimum
/// below a measured end that its pack's capacity reaches; without
/// both uncertainties there is none.
std::vector<ComparisonRow> comparison_rows(const std::vector<ReportInput>& inputs);

/// One sentence a condition that was not the same for all (rate, temperature, end voltage a cell),
/// with what it does to the comparison. Empty: like was compared with like.
std::vector<std::string> unlike_conditions(const std::vector<ReportInput>& inputs);

/// One sentence a run whose discharge a cell or the protection board ended before the pack's end
/// voltage.
std::vector<std::string> early_ends(const std::vector<ReportInput>& inputs);

}  // namespace sagbench::reports
