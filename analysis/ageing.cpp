#include "analysis/ageing.hpp"

#include <algorithm>
#include <utility>

namespace sagbench::analysis {
namespace {

constexpr double kYear = 365.0, kMonth = 30.0;

double lower_end(const Measured& measured) {
  return measured.value - measured.expanded_uncertainty;
}

/// The first day of the year after `from` on which the trend may be at the level. It need not be
/// significant: a doubtful one may fall.
std::optional<double> may_be_worn(const Trend& trend, double from, double level_ah) {
  // The lower end is concave: once below the level behind the tests, it stays there.
  const auto worn = [&](double day) { return lower_end(trend.at(day)) <= level_ah; };
  if (!worn(from + kYear)) return std::nullopt;
  double sound = from, end = from + kYear;
  if (worn(sound)) return sound;
  while (end - sound > 0.5) {
    const double middle = (sound + end) / 2;
    (worn(middle) ? end : sound) = middle;
  }
  return end;
}

}  // namespace

WornDate worn_date(const Finding<Trend>& capacity, double rated_ah) {
  WornDate date;
  date.level_ah = kWornShare * rated_ah;
  if (!capacity) {
    date.why = capacity.why();
    return date;
  }
  date.told_until = capacity->last_x + kCarriedOn * (capacity->last_x - capacity->first_x);
  if (!capacity->significant() || capacity->slope.value > 0.0) {
    date.why = capacity->significant() ? "the capacity rises"
                                       : "the tests do not tell a fall of the capacity from none";
    return date;
  }
  const Crossing crossing = capacity->meets(date.level_ah);
  if (crossing.earliest > *date.told_until) {
    date.not_before = date.told_until;
    date.why = "the trend is carried on by half of the time that the tests span, and no further";
    return date;
  }
  date.earliest = crossing.earliest;
  if (crossing.latest <= *date.told_until) date.latest = crossing.latest;
  return date;
}

NextTest next_test(const Finding<Trend>& capacity, const TrendPoint& last, double level_ah) {
  if (last.y.value + last.y.expanded_uncertainty < level_ah)
    return {std::nullopt, "the last test found the pack worn for sure"};
  if (lower_end(last.y) <= level_ah)
    return {last.x + kMonth, "the last test leaves open whether the pack is worn"};
  if (const auto worn = capacity ? may_be_worn(*capacity, last.x, level_ah) : std::nullopt)
    return {last.x + std::max(kMonth, (*worn - last.x) / 2),
            "half way to where the lower end of the trend reaches the level, a month at least"};
  return {last.x + kYear, "a year after the last test"};
}

}  // namespace sagbench::analysis
