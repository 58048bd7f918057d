#pragma once
// Curves of a recording, in the units of the pictures.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/recording.hpp"
#include "reports/geometry.hpp"

namespace sagbench::reports {

/// Seconds, minutes or hours, whichever suits the length of the run.
struct TimeUnit {
  double seconds = 1.0;
  std::string name = "s";
};
TimeUnit time_unit(double span_s);

/// Over time in `unit`; a pause without samples breaks the curve. Temperature where it was read.
/// Of a long run the points that a picture shows (PointThinner).
std::vector<Point> voltage_over_time(const analysis::Recording& recording, const TimeUnit& unit);
std::vector<Point> current_over_time(const analysis::Recording& recording, const TimeUnit& unit);
std::vector<Point> temperature_over_time(const analysis::Recording& recording,
                                         const TimeUnit& unit);

/// Pack voltage against charge removed (Ah, from 0) over the capacity discharge, or over the
/// longest discharge there is. Empty when nothing was discharged.
std::vector<Point> discharge_curve(const analysis::Recording& recording,
                                   const analysis::Figures& figures);

/// A minute on the air from the middle of a transmit step.
struct AirMinute {
  int step = 0;
  analysis::Radio radio;
  std::optional<analysis::Mode> mode;
  double from_s = 0.0;          // in the run
  std::vector<Point> supply_v;  // at the radio: cable drop taken off; over seconds from `from_s`
  std::vector<Point> current_a;
};
/// The transmit step of the radio with the greatest peak current. Absent: the run has none with
/// samples.
std::optional<AirMinute> air_minute(const analysis::Recording& recording);

}  // namespace sagbench::reports
