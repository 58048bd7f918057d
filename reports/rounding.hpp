#pragma once
// Numbers for JSON: no more digits than are known.

#include "analysis/finding.hpp"

namespace sagbench::reports {

/// The uncertainty to two significant digits and the value to the same decimal place (JCGM
/// 100:2008, 7.2.6), but the value to four significant digits at least, so that a reader can
/// compute on. Without an uncertainty (zero or not finite) the value gets six. The results are the
/// doubles nearest to the decimal numbers.
analysis::Measured rounded(const analysis::Measured& measured) noexcept;

/// To so many significant digits; zero and what is not finite pass unchanged.
double rounded(double value, int significant_digits) noexcept;

}  // namespace sagbench::reports
