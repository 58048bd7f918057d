#include "reports/iso_date.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstddef>

namespace sagbench::reports {
namespace {

std::optional<int> digits(std::string_view text, std::size_t at, std::size_t count) noexcept {
  if (at + count > text.size()) return std::nullopt;
  for (const char c : text.substr(at, count)) {
    if (c < '0' || c > '9') return std::nullopt;
  }
  int value = 0;
  std::from_chars(text.data() + at, text.data() + at + count, value);
  return value;
}

std::chrono::year_month_day calendar(const IsoDate& date) noexcept {
  return std::chrono::year{date.year} / std::chrono::month{static_cast<unsigned>(date.month)} /
         std::chrono::day{static_cast<unsigned>(date.day)};
}

std::string counted(long count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

}  // namespace

std::optional<IsoDate> iso_date(std::string_view text) noexcept {
  const auto year = digits(text, 0, 4), month = digits(text, 5, 2), day = digits(text, 8, 2);
  if (!year || !month || !day || text[4] != '-' || text[7] != '-') return std::nullopt;
  const IsoDate date{*year, *month, *day};
  if (!calendar(date).ok()) return std::nullopt;
  return date;
}

std::optional<IsoTime> iso_time(std::string_view text) noexcept {
  const auto date = iso_date(text);
  const auto hour = digits(text, 11, 2), minute = digits(text, 14, 2), second = digits(text, 17, 2);
  if (!date || !hour || !minute || !second || *hour > 23 || *minute > 59 || *second > 59) {
    return std::nullopt;
  }
  return IsoTime{*date, *hour, *minute, *second};
}

long days_between(const IsoDate& from, const IsoDate& to) noexcept {
  const auto days = std::chrono::sys_days{calendar(to)} - std::chrono::sys_days{calendar(from)};
  return static_cast<long>(days.count());
}

IsoDate days_later(const IsoDate& from, long days) noexcept {
  constexpr IsoDate kFirst{1, 1, 1}, kLast{9999, 12, 31};
  const long to_last = days_between(from, kLast), to_first = days_between(from, kFirst);
  const std::chrono::year_month_day date{std::chrono::sys_days{calendar(from)} +
                                         std::chrono::days{std::clamp(days, to_first, to_last)}};
  return {static_cast<int>(date.year()), static_cast<int>(static_cast<unsigned>(date.month())),
          static_cast<int>(static_cast<unsigned>(date.day()))};
}

std::string iso_text(const IsoDate& date) {
  return fmt::format("{:04}-{:02}-{:02}", date.year, date.month, date.day);
}

std::optional<std::string> age_text(std::string_view built, std::string_view on) {
  const auto from = iso_date(built), to = iso_date(on);
  if (!from || !to) return std::nullopt;
  const long days = days_between(*from, *to);
  if (days < 0) return std::nullopt;
  constexpr double kDaysInMonth = 30.44;
  if (days < 60) return counted(days, "day");
  const long months = std::lround(static_cast<double>(days) / kDaysInMonth);
  return months < 36 ? counted(months, "month") : counted(months / 12, "year");
}

}  // namespace sagbench::reports
