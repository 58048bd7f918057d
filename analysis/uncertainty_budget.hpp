#pragma once
// Where the uncertainty of a figure comes from, term by term.

#include <string>
#include <string_view>
#include <vector>

namespace sagbench::analysis {

/// What is known of an input (JCGM 100:2008, 4.2 and 4.3.7).
enum class Distribution { normal, rectangular };
std::string_view name_of(Distribution distribution) noexcept;  // "normal", "rectangular"

/// One input that is in doubt, independent of all others. Where an input acts on the figure in
/// several ways, `sensitivity` is their sum with its signs: they do not average.
struct BudgetTerm {
  std::string input;
  Distribution distribution = Distribution::normal;
  double standard_u = 0.0;   // of the input, in `unit`
  std::string unit;          // "1" for a share
  double sensitivity = 0.0;  // change of the figure, in its own unit, for one `unit`

  /// In the figure's unit (JCGM 100:2008, 5.1.3: |c_i| u(x_i)).
  double contribution() const noexcept;
};

struct UncertaintyBudget {
  std::vector<BudgetTerm> terms;

  /// Adds an input known within +/- half_width, or by a standard deviation. One that does nothing
  /// is left out.
  void add_rectangular(std::string input, double half_width, std::string unit, double sensitivity);
  void add_normal(std::string input, double standard_u, std::string unit, double sensitivity);

  /// Combined standard uncertainty: the terms in quadrature (JCGM 100:2008, 5.1.2).
  double combined() const noexcept;
};

}  // namespace sagbench::analysis
