#pragma once
// What a pack's tests over its life let expect: when it is worn, and when to test it again.

#include <optional>
#include <span>
#include <string>

#include "analysis/trend.hpp"

namespace sagbench::analysis {

/// A pack is worn at this share of its rated capacity: the replacement criterion of IEEE 450 and
/// IEEE 1188 for lead-acid; for other chemistries common practice, no source.
inline constexpr double kWornShare = 0.8;
/// A trend is carried on no further than this share of the time that its tests span (common
/// practice, no source).
inline constexpr double kCarriedOn = 0.5;

/// Times are days, on the axis of the trend.
struct WornDate {
  double level_ah = 0.0;
  std::optional<double> earliest;    // absent: cannot be told, `why` says why
  std::optional<double> latest;      // absent: after `told_until`
  std::optional<double> told_until;  // how far the trend is carried on; absent without one
  /// The trend holds that the pack is not worn before this; only where `earliest` is absent.
  std::optional<double> not_before;
  std::string why;
};

/// When the trend of the capacity (Ah over days) falls to kWornShare of `rated_ah`.
WornDate worn_date(const Finding<Trend>& capacity, double rated_ah);

struct NextTest {
  std::optional<double> day;  // absent: none is worth it
  std::string because;
};

/// A year after the last test (common practice; IEEE 450 and 1188 ask for it below 90 % of rated);
/// where the lower end of the trend reaches `level_ah` within that year, half way there, but not
/// within a month; a month where the last measurement leaves it open on which side of the level the
/// pack is. None where that is certain to be worn. `last`: x in days.
NextTest next_test(const Finding<Trend>& capacity, const TrendPoint& last, double level_ah);

}  // namespace sagbench::analysis
