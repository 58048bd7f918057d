#pragma once
// A pattern of currents that a load cannot follow, made into one that it can.

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "analysis/current_figures.hpp"
#include "drivers/electronic_load.hpp"

namespace sagbench::bench {

/// What a load can follow.
struct Agility {
  double shortest_s = 0.0;  // a current must stand at least so long
  double slew_a_per_s = std::numeric_limits<double>::infinity();  // above zero
  double step_a = 0.0;                                            // of a setpoint; 0: any current
  double max_a = std::numeric_limits<double>::infinity();
};

/// How far a reduced pattern may be from the one asked for, as a share of each figure.
inline constexpr double kMeanWithin = 0.01, kRmsWithin = 0.02, kPeakWithin = 0.02;

/// Either `points`, whose figures are within those bounds as the load will play them, or why not.
struct Reduction {
  std::vector<drivers::ListPoint> points;  // empty when refused
  analysis::CurrentFigures asked;
  analysis::CurrentFigures expected;  // with the load's ramps and steps of current
  bool reduced = false;               // else each point stands, on a step of the load
  std::string refused;                // one sentence; empty when there are points
};

/// The method: what can be played stays as it is. Points that are too short are taken together with
/// those behind them until two levels take their place that have the same mean, the same r.m.s. and
/// lie within theirs: the higher one as high, and so as short, as the load allows, first or second
/// as the charge lay. Where no group keeps the highest peak, the group about it grows until it
/// does. Then ramps and steps of current are reckoned with; where the bounds are broken, all is
/// done again as for a slower load, up to one group. Currents between two steps of the load go to
/// the one that makes good what was drawn too much or too little before; points of a second and
/// more are parted between both.
///
/// Meant for an over or some minutes. Keeps the whole time. Refuses a current above `max_a`, and
/// what no reduction brings within the bounds. `asked`: at least one point,
/// dwells above zero, currents of zero or more.
Reduction reduce(const std::vector<drivers::ListPoint>& asked, const Agility& load);

/// The figures of `points` as the load plays them: each change is a ramp, and where the dwell is
/// over before the ramp, the current does not get there. The pattern is taken to go on: it comes
/// from its last current, so that ramps up and down make good for one another.
analysis::CurrentFigures as_played(const std::vector<drivers::ListPoint>& points,
                                   double slew_a_per_s);

}  // namespace sagbench::bench
