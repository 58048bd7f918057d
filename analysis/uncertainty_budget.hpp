#pragma once
// Where the uncertainty of a figure comes from, term by term.

#include <string>
#include <string_view>
#include <vector>

namespace sagbench::analysis {

/// What is known of an input (JCGM 100:2008, 4.2 and 4.3.7).
enum class Distribution { normal, rectangular };
std::string_view name_of(Distribution distribution) noexcept;  // "normal", "rectangular"

/// One input that is in doubt. Where an input acts on the figure in several ways, `sensitivity` is
/// their sum with its signs: they do not average.
struct BudgetTerm {
  std::string input;
  Distribution distribution = Distribution::normal;
  double standard_u = 0.0;   // of the input, in `unit`
  std::string unit;          // "1" for a share
  double sensitivity = 0.0;  // change of the figure, in its own unit, for one `unit`

  /// In the figure's unit (JCGM 100:2008, 5.1.3: |c_i| u(x_i)).
  double contribution() const noexcept;
};

/// Two inputs whose errors go together (above 0) or against each other (below), -1 ... 1
/// (JCGM 100:2008, 5.2.2, equation 14).
struct CorrelatedInputs {
  std::string first, second;  // inputs
  double coefficient = 0.0;
};

struct UncertaintyBudget {
  std::vector<BudgetTerm> terms;
  std::vector<CorrelatedInputs> correlations;  // inputs not named are independent

  /// Adds an input known within +/- half_width, or by a standard deviation. One that does nothing
  /// is left out.
  void add_rectangular(std::string input, double half_width, std::string unit, double sensitivity);
  void add_normal(std::string input, double standard_u, std::string unit, double sensitivity);

  /// Inputs are told by name; one that was left out because it does nothing may be named. All
  /// coefficients together must be possible: with a and b at 1, and b and c at 1, a and c are too.
  void correlate(std::string first, std::string second, double coefficient);

  /// Combined standard uncertainty: the terms in quadrature where they are independent
  /// (JCGM 100:2008, 5.1.2), else with their correlations (5.2.2, equation 13).
  double combined() const;
};

}  // namespace sagbench::analysis
