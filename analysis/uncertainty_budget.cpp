#include "analysis/uncertainty_budget.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>

#include "analysis/accuracy.hpp"
#include "analysis/correlated_sum.hpp"

namespace sagbench::analysis {
namespace {

/// The number of terms where it is none of them.
Eigen::Index place_of(const std::vector<BudgetTerm>& terms, const std::string& input) {
  return std::ranges::find(terms, input, &BudgetTerm::input) - terms.begin();
}

}  // namespace

std::string_view name_of(Distribution distribution) noexcept {
  return distribution == Distribution::normal ? "normal" : "rectangular";
}

double BudgetTerm::contribution() const noexcept {
  return std::abs(sensitivity) * standard_u;
}

void UncertaintyBudget::add_rectangular(std::string input, double half_width, std::string unit,
                                        double sensitivity) {
  BudgetTerm term{std::move(input), Distribution::rectangular, rectangular(half_width),
                  std::move(unit), sensitivity};
  if (term.contribution() > 0.0) terms.push_back(std::move(term));
}

void UncertaintyBudget::add_normal(std::string input, double standard_u, std::string unit,
                                   double sensitivity) {
  BudgetTerm term{std::move(input), Distribution::normal, standard_u, std::move(unit), sensitivity};
  if (term.contribution() > 0.0) terms.push_back(std::move(term));
}

void UncertaintyBudget::correlate(std::string first, std::string second, double coefficient) {
  correlations.push_back({std::move(first), std::move(second), coefficient});
}

double UncertaintyBudget::combined() const {
  const Eigen::Index count = std::ssize(terms);
  Eigen::VectorXd contributions(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const BudgetTerm& term = terms[static_cast<std::size_t>(i)];
    contributions[i] = term.sensitivity * term.standard_u;
  }
  Eigen::MatrixXd correlation = Eigen::MatrixXd::Identity(count, count);
  for (const CorrelatedInputs& pair : correlations) {
    const Eigen::Index first = place_of(terms, pair.first);
    const Eigen::Index second = place_of(terms, pair.second);
    if (first == count || second == count || first == second) continue;
    correlation(first, second) = correlation(second, first) = pair.coefficient;
  }
  return correlated_sum(contributions, correlation);
}

}  // namespace sagbench::analysis
