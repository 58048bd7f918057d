#include "reports/number_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace sagbench::reports {
namespace {

constexpr std::string_view kNoBreakSpace = "\xC2\xA0";
constexpr std::string_view kMinus = "\xE2\x88\x92";
constexpr std::string_view kPlusMinus = "\xC2\xA0\xC2\xB1\xC2\xA0";
constexpr int kMaxDecimals = 9;
thread_local char decimal_sign = '.';

// Decimal places that show `digits` significant digits of `value`; negative: rounded to tens,
// hundreds...
int places_for(double value, int digits) {
  const double magnitude = std::abs(value);
  if (!(magnitude > 0.0) || !std::isfinite(magnitude)) return digits;
  int places = digits - 1 - static_cast<int>(std::floor(std::log10(magnitude)));
  // 0.0996 to two digits is 0.10, not 0.100: rounding may carry into a new digit.
  const double rounded = std::round(magnitude * std::pow(10.0, places));
  if (rounded >= std::pow(10.0, digits)) --places;
  return std::min(places, kMaxDecimals);
}

std::string to_places(double value, int places) {
  if (!std::isfinite(value)) return "not a number";
  if (places < 0) {
    const double unit = std::pow(10.0, -places);
    return fixed_text(std::round(value / unit) * unit, 0);
  }
  return fixed_text(value, places);
}

bool known(double uncertainty) {
  return std::isfinite(uncertainty) && uncertainty > 0.0;
}

std::string with_unit(std::string number, std::string_view unit) {
  if (!unit.empty()) number.append(kNoBreakSpace).append(unit);
  return number;
}

std::string with_uncertainty(const analysis::Measured& measured, std::string_view unit,
                             int places) {
  std::string text = to_places(measured.value, places);
  text.append(kPlusMinus).append(to_places(measured.expanded_uncertainty, places));
  return with_unit(std::move(text), unit);
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool is_word(char c) {
  return is_digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '.';
}

/// The characters around `at` that letters, digits and points make one with.
std::string_view word_around(std::string_view text, std::size_t at) {
  std::size_t begin = at, end = at;
  while (begin > 0 && is_word(text[begin - 1])) --begin;
  while (end < text.size() && is_word(text[end])) ++end;
  while (end > at && text[end - 1] == '.') --end;  // of the sentence
  return text.substr(begin, end - begin);
}

bool is_number(std::string_view word) {
  const auto point = word.find('.');
  return point != 0 && point != std::string_view::npos && point + 1 < word.size() &&
         std::ranges::count(word, '.') == 1 &&
         std::ranges::all_of(word, [](char c) { return is_digit(c) || c == '.'; });
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
}

}  // namespace

DecimalSign::DecimalSign(char sign) noexcept : before_(std::exchange(decimal_sign, sign)) {}
DecimalSign::~DecimalSign() {
  decimal_sign = before_;
}

std::string as_printed(std::string_view sentence) {
  std::string text(sentence);
  for (std::size_t at = text.find('.'); at != std::string::npos; at = text.find('.', at + 1))
    if (is_number(word_around(text, at))) text[at] = decimal_sign;
  replace_all(text, "+/-", "\xC2\xB1");
  replace_all(text, " mohm", "\xC2\xA0m\xCE\xA9");
  return text;
}

std::string fixed_text(double value, int decimals) {
  std::string digits = fmt::format("{:.{}f}", std::abs(value), decimals);
  std::ranges::replace(digits, '.', decimal_sign);
  const bool nonzero = digits.find_first_of("123456789") != std::string::npos;
  return value < 0.0 && nonzero ? std::string(kMinus) + digits : digits;
}

std::string number_text(double value, int significant_digits) {
  std::string text = to_places(value, places_for(value, significant_digits));
  if (text.find(decimal_sign) != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == decimal_sign) text.pop_back();
  }
  return text;
}

std::string quantity_text(double value, std::string_view unit, int significant_digits) {
  return with_unit(number_text(value, significant_digits), unit);
}

std::string measured_text(const analysis::Measured& measured, std::string_view unit) {
  if (!known(measured.expanded_uncertainty)) return quantity_text(measured.value, unit, 4);
  return with_uncertainty(measured, unit, places_for(measured.expanded_uncertainty, 2));
}

std::string operator_text(const analysis::Measured& measured, std::string_view unit) {
  constexpr int kDecimals = 2;
  if (!known(measured.expanded_uncertainty)) return measured_text(measured, unit);
  const int places = std::min(kDecimals, places_for(measured.expanded_uncertainty, 2));
  analysis::Measured shown = measured;
  const double scale = std::pow(10.0, places);
  constexpr double kSlack = 1e-9;  // 0.07 * 100 is a hair more than 7
  shown.expanded_uncertainty = std::ceil(measured.expanded_uncertainty * scale - kSlack) / scale;
  return with_uncertainty(shown, unit, places);
}

std::string uncertainty_text(const analysis::Measured& measured, std::string_view unit) {
  if (!known(measured.expanded_uncertainty)) return "unknown";
  const int places = places_for(measured.expanded_uncertainty, 2);
  return with_unit(to_places(measured.expanded_uncertainty, places), unit);
}

std::string resistance_text(const analysis::Measured& ohm) {
  if (std::abs(ohm.value) >= 1.0) return measured_text(ohm, "\xCE\xA9");
  constexpr double kMilli = 1000.0;
  return measured_text({ohm.value * kMilli, ohm.expanded_uncertainty * kMilli, ohm.coverage_factor},
                       "m\xCE\xA9");
}

std::string_view minimum_sign(bool is_minimum) {
  return is_minimum ? "\xE2\x89\xA5\xC2\xA0" : "";
}

std::string percent_text(double share) {
  return with_unit(fixed_text(share * 100.0, 0), "%");
}

std::string duration_text(double seconds) {
  constexpr double kShortest = 0.1;
  if (seconds < kShortest) return with_unit("under " + fixed_text(kShortest, 1), "s");
  if (seconds < 120.0) return with_unit(number_text(seconds, 3), "s");
  const auto minutes = static_cast<long>(std::lround(seconds / 60.0));
  if (minutes < 60) return with_unit(fmt::format("{}", minutes), "min");
  return with_unit(fmt::format("{}", minutes / 60), "h") + std::string(kNoBreakSpace) +
         with_unit(fmt::format("{:02}", minutes % 60), "min");
}

}  // namespace sagbench::reports
