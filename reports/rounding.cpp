#include "reports/rounding.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::reports {
namespace {

/// The place of the last of `significant_digits`, as a count of decimals: 2 digits of 0.0213 are 3
/// decimals. Precondition: value is finite and not zero.
int decimals_of(double value, int significant_digits) noexcept {
  const auto leading = static_cast<int>(std::floor(std::log10(std::abs(value))));
  return significant_digits - 1 - leading;
}

/// Powers of ten up to 1e22 are exact, so one division gives the double nearest to the decimal
/// number.
double rounded_to_decimals(double value, int decimals) noexcept {
  const double scale = std::pow(10.0, std::abs(decimals));
  const double result =
      decimals >= 0 ? std::round(value * scale) / scale : std::round(value / scale) * scale;
  return std::isfinite(result) ? result : value;
}

}  // namespace

double rounded(double value, int significant_digits) noexcept {
  if (value == 0.0 || !std::isfinite(value)) return value;
  return rounded_to_decimals(value, decimals_of(value, significant_digits));
}

analysis::Measured rounded(const analysis::Measured& measured) noexcept {
  constexpr int kUncertaintyDigits = 2;
  constexpr int kLeastDigits = 4;
  constexpr int kDigitsWithoutUncertainty = 6;
  analysis::Measured result = measured;
  const double uncertainty = measured.expanded_uncertainty;
  if (uncertainty == 0.0 || !std::isfinite(uncertainty)) {
    result.value = rounded(measured.value, kDigitsWithoutUncertainty);
    return result;
  }
  result.expanded_uncertainty = rounded(uncertainty, kUncertaintyDigits);
  // Of the rounded one: 0.0996 becomes 0.10, whose second digit stands one place further left.
  int decimals = decimals_of(result.expanded_uncertainty, kUncertaintyDigits);
  if (measured.value != 0.0 && std::isfinite(measured.value)) {
    decimals = std::max(decimals, decimals_of(measured.value, kLeastDigits));
  }
  result.value = rounded_to_decimals(measured.value, decimals);
  return result;
}

}  // namespace sagbench::reports
