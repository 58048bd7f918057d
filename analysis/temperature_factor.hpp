#pragma once
// What another temperature leaves of a pack's capacity: from runs of that pack, or for lead-acid
// from a published coefficient; never a guess.

#include <optional>
#include <span>
#include <string>

#include "analysis/chemistry.hpp"
#include "analysis/rate_point.hpp"

namespace sagbench::analysis {

/// Capacity at one temperature as a share of the capacity that a run measured at its own.
struct TemperatureFactor {
  Measured factor;
  double from_c = 0.0;  // the run's
  double to_c = 0.0;
  std::string source;  // a clause for people: which runs, or which table
};

/// `run` is the discharge that the factor is for, `others` whole discharges of the same pack at
/// other times, the one to be preferred first; `thermometer_c` is the half-width of its error.
///
/// Measured: the straight line between the two nearest temperatures about `to_c`, of discharges to
/// the same end voltage (see ended_alike()) at a like current (within half of the run's). Nothing
/// is extrapolated. In doubt (JCGM 100:2008, 5.1: in quadrature) are the capacities, taken as
/// independent; the thermometer; and the bend between both temperatures: midway it may be half of
/// their difference, s (1 - s) at the share s of the way, rectangular (our choice).
///
/// Else, for lead-acid that is colder than the run, (1 + c (to - 20)) / (1 + c (from - 20)) with c
/// = 0.006 /K where the discharge takes longer than 3 h, 0.010 /K where not, from 0 to 40 °C
/// (capacity test of IEC 60896-11 and -21, seen second-hand). c is taken to lie within 0.002 /K,
/// rectangular, since sources differ by as much between 3 h and 10 h; the range is that of a
/// battery maker's table which agrees with it (our choices). `discharge_h` is the whole capacity
/// over the mean current.
///
/// Missing without the run's temperature, and where neither applies: of other chemistries no table
/// is known that could be cited.
Finding<TemperatureFactor> temperature_factor(const RatePoint& run,
                                              std::span<const RatePoint> others,
                                              Chemistry chemistry,
                                              std::optional<double> thermometer_c, double to_c,
                                              double discharge_h);

}  // namespace sagbench::analysis
