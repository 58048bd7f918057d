#pragma once
// Dates as the user's files and the archive write them: ISO 8601, "2026-03-01" and
// "2026-03-01T10:15:00Z".

#include <optional>
#include <string>
#include <string_view>

namespace sagbench::reports {

struct IsoDate {
  int year = 0;
  int month = 1;
  int day = 1;
};

struct IsoTime {
  IsoDate date;
  int hour = 0;
  int minute = 0;
  int second = 0;
};

/// Absent when `text` does not begin with a date of the calendar.
std::optional<IsoDate> iso_date(std::string_view text) noexcept;
/// Date and time of day; absent when either is missing or out of range.
std::optional<IsoTime> iso_time(std::string_view text) noexcept;
/// Days from one date to another; negative when `to` is earlier.
long days_between(const IsoDate& from, const IsoDate& to) noexcept;
/// The date so many days after another; `days` may be negative. Years beyond 9999 and before 1 are
/// cut off there.
IsoDate days_later(const IsoDate& from, long days) noexcept;
/// "2026-03-01".
std::string iso_text(const IsoDate& date);
/// "17 days", "13 months", "4 years": how old a thing built on `built` is on `on`. Absent when a
/// date is missing or the order is wrong.
std::optional<std::string> age_text(std::string_view built, std::string_view on);

}  // namespace sagbench::reports
