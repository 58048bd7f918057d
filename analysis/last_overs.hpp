#pragma once
// The end of a radio's time on the air, played piece by piece with its under-voltage switch.

#include <cstddef>
#include <string_view>

#include "analysis/pack.hpp"
#include "analysis/prediction.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {

/// What ends a radio's time on the air.
inline constexpr std::string_view kBySupply = "supply_min";
inline constexpr std::string_view kByPack = "end of discharge";
inline constexpr std::string_view kByCell = "cell end of discharge";

/// A place near the end.
struct NearEnd {
  double depth_ah = 0.0;  // on the curve
  double mean_a = 0.0;    // what flowed until then
};

struct LastOvers {
  double hours = 0.0;            // until the radio was last on
  double lowest_supply_v = 0.0;  // at the radio while it is on
  std::string_view ended_by;
};

/// From `from` on the pattern is sent, beginning with piece `first`, over and over: the supply is
/// looked at every 0.05 s while the radio transmits, else every half second; after a drop-out the
/// operator waits, as RadioSwitch has it. Precondition: `first` < outing.sent.size(), the pattern's
/// time is above 0.
LastOvers last_overs(const Outing& outing, const Pack& pack, const SourceCurve& curve,
                     const NearEnd& from, std::size_t first);

}  // namespace sagbench::analysis
