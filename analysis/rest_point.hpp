#pragma once
// The open-circuit voltage at the rests of a run.

#include <span>
#include <string_view>
#include <vector>

#include "analysis/finding.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

class ChargeState;

/// How the charge of a rest was reached: the voltage then stands on another branch.
enum class Approach { discharging, charging };
std::string_view name_of(Approach approach) noexcept;  // "discharging", "charging"

struct RestPoint {
  double removed_ah = 0.0;  // since full
  Approach approach = Approach::discharging;
  Measured voltage_v;    // when all has relaxed, the instrument's errors included
  double own_u_v = 0.0;  // standard, without them: what counts between readings of one instrument
  double last_v = 0.0;   // last reading of the rest
  double rested_s = 0.0;
  double end_s = 0.0;  // time of that reading
};

/// The shortest rest that is looked at, and when a pack is taken to have relaxed. Lead-acid evens
/// out its acid for hours, and a short rest does not show it beginning to (our choices).
struct RestTimes {
  double shortest_s = 60.0;
  double relaxed_after_s = 2.0 * 3600.0;
};
inline constexpr RestTimes kLeadAcidRest = {1800.0, 24.0 * 3600.0};
/// Two rests stand at the same charge when they are no further apart than this share of it, and
/// the way turns where more than this was charged or discharged (our choice).
inline constexpr double kSamePlace = 0.01;

/// In order of time; for voltages, and how many readings they take, see relaxed_voltage(). The way
/// to a rest is that of the charge moved last, kSamePlace of the full charge at least; a run begins
/// charged. Silences in a radio's pattern are no rests, nor is what was read while a charger was at
/// the pack or with nothing behind the terminals. Precondition: the recording has no defect.
std::vector<RestPoint> rest_points(const Recording& recording, const ChargeState& charge);

/// Of each charge the one that is known best; in order of the charge removed.
std::vector<RestPoint> best_rests(std::span<const RestPoint> rests, Approach approach,
                                  double full_ah);

}  // namespace sagbench::analysis
