#include "analysis/uncertainty_budget.hpp"

#include <cmath>
#include <utility>

#include "analysis/accuracy.hpp"

namespace sagbench::analysis {

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

double UncertaintyBudget::combined() const noexcept {
  double sum = 0.0;
  for (const BudgetTerm& term : terms) sum += term.contribution() * term.contribution();
  return std::sqrt(sum);
}

}  // namespace sagbench::analysis
