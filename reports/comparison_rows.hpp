#pragma once
// Several runs put in order: like with like, ties where a difference says nothing.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "analysis/operation.hpp"
#include "reports/comparison_sort.hpp"

namespace sagbench::reports {

struct ComparisonRow {
  const RunDigest* run = nullptr;  // lent
  std::size_t number = 0;          // from 1, through all of the comparison
  std::optional<int> rank;  // 1 is best, in its group; absent: compared with no other, see `why`
  bool tie = false;         // with the row above
  SortFigure figure;
  std::string why;
};

/// Runs whose figures may be compared: every two are analysis::alike.
struct ComparisonGroup {
  std::string conditions;  // in words
  std::vector<ComparisonRow> rows;
};

struct Comparison {
  SortBy by = SortBy::usable_qro;
  std::vector<ComparisonGroup> groups;  // largest first; two runs or more each
  std::vector<ComparisonRow> alone;     // alike with no other, in order of their figure
  std::vector<ComparisonRow> without;   // have no such figure, in order of their capacity
};

/// Best first. A tie takes every run that differs from none of its other runs by more than the root
/// sum of squares of both expanded uncertainties; ties are made from the best down, so that of two
/// neighbours in different ties the difference may still say nothing. A minimum may be as much as
/// its pack holds. The result borrows `runs`. `by` absent: the charge usable on a QRO radio, or,
/// where no run has that, the capacity.
Comparison compared(const std::vector<RunDigest>& runs, std::optional<SortBy> by);

/// All rows, in the order of their numbers.
std::vector<const ComparisonRow*> rows_of(const Comparison& comparison);

/// The rule of ties and ranks, for people.
std::string tie_rule();

/// Which discharges a cell or the protection board ended before the pack's end voltage, one
/// sentence a cause; empty where none.
std::string early_ends(const std::vector<const ComparisonRow*>& rows);

}  // namespace sagbench::reports
