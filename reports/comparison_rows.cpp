#include "reports/comparison_rows.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "reports/numbered_reasons.hpp"

namespace sagbench::reports {
namespace {

using Rows = std::vector<ComparisonRow>;

/// Greater is better, whatever the figure.
double merit(const ComparisonRow& row, SortBy by) {
  const double value = row.figure.value->value;
  return words_on(by).less_is_better ? -value : value;
}

/// `better` stands above `worse`.
bool says_nothing(const ComparisonRow& better, const ComparisonRow& worse, SortBy by) {
  const SortFigure &a = better.figure, &b = worse.figure;
  const double combined = std::hypot(a.value->expanded_uncertainty, b.value->expanded_uncertainty);
  // A minimum may have gone on as far as the pack holds; of two, neither end is known.
  const bool may_reach = b.is_minimum && !a.is_minimum && b.reach;
  const double reached = may_reach ? std::max(*b.reach, merit(worse, by)) : merit(worse, by);
  return merit(better, by) - reached <= combined;
}

void sort(Rows& rows, SortBy by) {
  std::ranges::stable_sort(rows, std::ranges::greater{},
                           [by](const ComparisonRow& row) { return merit(row, by); });
}

void rank(Rows& rows, SortBy by) {
  std::size_t tie_begin = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto first = rows.begin() + static_cast<std::ptrdiff_t>(tie_begin);
    const auto here = rows.begin() + static_cast<std::ptrdiff_t>(i);
    rows[i].tie = i > 0 && std::all_of(first, here, [&](const ComparisonRow& other) {
                    return says_nothing(other, rows[i], by);
                  });
    if (!rows[i].tie) tie_begin = i;
    rows[i].rank = static_cast<int>(tie_begin) + 1;
  }
}

ComparisonGroup group_of(const Rows& rows, const std::vector<std::size_t>& members, SortBy by) {
  ComparisonGroup group;
  std::vector<analysis::Conditions> conditions;
  for (const std::size_t i : members) {
    group.rows.push_back(rows[i]);
    conditions.push_back(rows[i].figure.conditions);
  }
  group.conditions = analysis::words_on(conditions);
  sort(group.rows, by);
  rank(group.rows, by);
  return group;
}

/// Runs with the figure, grouped and ranked.
void put_in_groups(const Rows& rows, Comparison& comparison) {
  std::vector<analysis::Conditions> conditions;
  for (const ComparisonRow& row : rows) conditions.push_back(row.figure.conditions);
  for (const auto& members : analysis::alike_groups(conditions)) {
    ComparisonGroup group = group_of(rows, members, comparison.by);
    if (members.size() > 1) {
      comparison.groups.push_back(std::move(group));
      continue;
    }
    ComparisonRow& row = group.rows.front();
    row.rank.reset();
    row.why = "alike with no other run: " + group.conditions;
    if (rows.size() == 1) row.why = "there is no other run with this figure";
    comparison.alone.push_back(std::move(row));
  }
  sort(comparison.alone, comparison.by);
}

double capacity_of(const ComparisonRow& row) {
  return row.run->capacity ? row.run->capacity->charge_ah.value
                           : -std::numeric_limits<double>::infinity();
}

SortBy usual(const std::vector<RunDigest>& runs) {
  const bool rated = std::ranges::any_of(runs, [](const RunDigest& run) {
    return static_cast<bool>(sort_figure(run, SortBy::usable_qro).value);
  });
  return rated ? SortBy::usable_qro : SortBy::capacity;
}

template <class Visit>
void for_each_row(Comparison& comparison, Visit visit) {
  for (ComparisonGroup& group : comparison.groups)
    for (ComparisonRow& row : group.rows) visit(row);
  for (Rows* rows : {&comparison.alone, &comparison.without})
    for (ComparisonRow& row : *rows) visit(row);
}

}  // namespace

Comparison compared(const std::vector<RunDigest>& runs, std::optional<SortBy> by) {
  Comparison comparison;
  comparison.by = by ? *by : usual(runs);
  Rows with;
  for (const RunDigest& run : runs) {
    ComparisonRow row{&run, 0, {}, false, sort_figure(run, comparison.by), {}};
    if (row.figure.value) {
      with.push_back(std::move(row));
    } else {
      row.why = row.figure.value.why();
      comparison.without.push_back(std::move(row));
    }
  }
  put_in_groups(with, comparison);
  std::ranges::stable_sort(comparison.without, std::ranges::greater{}, capacity_of);
  std::size_t number = 0;
  for_each_row(comparison, [&](ComparisonRow& row) { row.number = ++number; });
  return comparison;
}

std::vector<const ComparisonRow*> rows_of(const Comparison& comparison) {
  std::vector<const ComparisonRow*> rows;
  for (const ComparisonGroup& group : comparison.groups)
    for (const ComparisonRow& row : group.rows) rows.push_back(&row);
  for (const Rows* more : {&comparison.alone, &comparison.without})
    for (const ComparisonRow& row : *more) rows.push_back(&row);
  return rows;
}

std::string tie_rule() {
  return "A tie (=): no two of its runs differ by more than the root of the sum of the squares of "
         "both expanded uncertainties (k = 2), so that their order says nothing. Ties are made "
         "from the best down, and a run that differs from any run of the tie above begins the next "
         "one: of neighbours in different ties the difference may still say nothing.";
}

std::string early_ends(const std::vector<const ComparisonRow*>& rows) {
  std::vector<NumberedReason> reasons;
  for (const ComparisonRow* row : rows) {
    if (!row->run->capacity) continue;
    switch (row->run->capacity->ended_by) {
      case analysis::StepEnd::cell_end_of_discharge:
        reasons.push_back({row->number, "the discharge ended early, its weakest cell was empty"});
        break;
      case analysis::StepEnd::protection_board:
        reasons.push_back({row->number, "the discharge ended early, its protection board opened"});
        break;
      default:
        break;
    }
  }
  return reasons_text(reasons);
}

}  // namespace sagbench::reports
