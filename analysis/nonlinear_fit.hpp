#pragma once
// Nonlinear least squares: few parameters, any number of observations.

#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "analysis/finding.hpp"
#include "analysis/fit.hpp"

namespace sagbench::analysis {

/// Writes what the parameters predict for each observation; false, or a number that is not finite,
/// where they predict nothing. Called from the calling thread only. Derivatives are taken by
/// differences, on the inner side where a bound is near.
using Model =
    std::function<bool(std::span<const double> parameters, std::span<double> predictions)>;

struct Bounds {
  double lower = -std::numeric_limits<double>::infinity();
  double upper = std::numeric_limits<double>::infinity();
};

/// What is to be fitted. The spans must outlive the fit.
struct FitTask {
  Model model;
  std::span<const double> observed;
  /// At least one; each a value a parameter, within the bounds. Their sizes are taken for the
  /// parameters' scales.
  std::vector<std::vector<double>> starts;
  std::vector<Bounds> bounds{};  // one a parameter; none: no bounds
  /// Standard deviation of each observation; none: all alike, and not known.
  std::span<const double> standard_deviations{};
  /// Distance, in standard deviations (or the observations' unit where none are given), from which
  /// an observation pulls no harder: outliers. None: all pull with their square.
  std::optional<double> huber{};
  /// How many more starts may be tried, spread about the given ones over decades, or over the range
  /// where both bounds are given; always the same ones.
  int more_starts = 200;
};

/// The parameters with the least sum of squares (Levenberg-Marquardt from each start, then
/// Gauss-Newton down to rounding).
///
/// A minimum counts when the step still open is below a millionth of the standard errors (D. M.
/// Bates, D. G. Watts, Technometrics 23 (1981) 179) or lost in the observations' rounding, and
/// every parameter is determined. With `more_starts` it must also be the lowest point that any
/// start came to and have been reached from three of them; without, it is the lowest that the given
/// starts lead to and nothing more is claimed. Of equal minima the earliest start's is taken.
///
/// Standard errors are those of the tangent plane, with the residuals' own standard deviation
/// (JCGM 100:2008, 5.1.2, H.3); with `huber` those of P. J. Huber, Robust Statistics (1981), 7.6.
///
/// Missing, with the reason: not more observations than parameters, numbers that are not finite,
/// starts out of bounds, no start that can be evaluated, no minimum as above.
Finding<Fit> fit_nonlinear(const FitTask& task);

}  // namespace sagbench::analysis
