#pragma once
// Numbers as people read them: rounded no finer than they are known, unit after a no-break space,
// decimal point or comma, a real minus sign.

#include <string>
#include <string_view>

#include "analysis/finding.hpp"

namespace sagbench::reports {

/// While it lives, numbers that this thread makes by the functions below have `sign` where they
/// otherwise have a point. Documents are written under one; nothing that programs read is.
class DecimalSign {
 public:
  explicit DecimalSign(char sign) noexcept;
  ~DecimalSign();
  DecimalSign(const DecimalSign&) = delete;
  DecimalSign& operator=(const DecimalSign&) = delete;

 private:
  char before_;
};

/// A sentence of the analysis or of a run's notes, in which numbers have a point, "+/-" and "mohm",
/// as pages write it. What has several points, or letters beside them, is no number: a version, a
/// clause, a file.
std::string as_printed(std::string_view sentence);

/// "9.870 ± 0.021 Ah": the uncertainty to two significant digits, the value to the same place (JCGM
/// 100:2008, 7.2.6). An uncertainty of zero or none that is finite is left out.
std::string measured_text(const analysis::Measured& measured, std::string_view unit);
/// The same with two decimals at most, the uncertainty rounded up: what an operator needs.
std::string operator_text(const analysis::Measured& measured, std::string_view unit);
/// Ohms as milliohms below 1 ohm.
std::string resistance_text(const analysis::Measured& ohm);
/// The uncertainty alone, to two significant digits.
std::string uncertainty_text(const analysis::Measured& measured, std::string_view unit);

std::string fixed_text(double value, int decimals);
/// Without an uncertainty to go by: to so many significant digits, trailing zeros kept off.
std::string number_text(double value, int significant_digits = 3);
std::string quantity_text(double value, std::string_view unit, int significant_digits = 3);
/// The sign that goes before a figure that is only a minimum: "≥ ", else nothing.
std::string_view minimum_sign(bool is_minimum);
/// A share 0..1 as "50 %".
std::string percent_text(double share);
/// "under 0.1 s", "45 s", "12 min", "3 h 05 min".
std::string duration_text(double seconds);

}  // namespace sagbench::reports
