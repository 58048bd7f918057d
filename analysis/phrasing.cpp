#include "analysis/phrasing.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <system_error>

namespace sagbench::analysis {

std::string rounded(double value, int decimals) {
  const double unit = std::pow(10.0, -decimals);
  if (std::abs(value) < unit / 2.0) value = 0.0;
  std::array<char, 400> text{};  // the longest double has 309 digits before its point
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value,
                                 std::chars_format::fixed, decimals);
  if (end.ec != std::errc()) return "?";
  return {text.data(), end.ptr};
}

std::string percent(double share) {
  return rounded(share * 100.0, 0) + " %";
}

std::string amps(double current_a) {
  return rounded(current_a, 1) + " A";
}

std::string volts(double voltage_v) {
  return rounded(voltage_v, 2) + " V";
}

std::string amp_hours(double charge_ah) {
  return rounded(charge_ah, 2) + " Ah";
}

std::string milliohms(double ohm) {
  constexpr double kMilli = 1000.0, kFine = 0.1;
  return rounded(kMilli * ohm, ohm < kFine ? 1 : 0) + " mohm";
}

std::string with_uncertainty(const Measured& measured, std::string_view unit) {
  constexpr double kFine = 0.1;
  const int decimals = measured.expanded_uncertainty < kFine ? 3 : 2;
  return rounded(measured.value, decimals) + " +/- " +
         rounded(measured.expanded_uncertainty, decimals) + " " + std::string(unit);
}

double rounded_down(double value, int decimals) noexcept {
  const double factor = std::pow(10.0, decimals);
  return std::floor(value * factor) / factor;
}

double rounded_up(double value, int decimals) noexcept {
  return -rounded_down(-value, decimals);
}

}  // namespace sagbench::analysis
