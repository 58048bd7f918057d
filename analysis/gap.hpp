#pragma once
// A stretch of a run that nobody watched.

#include <string>

namespace sagbench::analysis {

/// The program or the computer died with the load on, and the step went on later. In between the
/// load drew on for a time that nobody measured, until its own watchdog switched it off at the
/// latest.
struct Gap {
  double start_s = 0.0;       // the last sample before
  double end_s = 0.0;         // the load was found or switched off; by the calendar, about a second
  double current_a = 0.0;     // what it drew
  double longest_on_s = 0.0;  // at most so long after start_s; not beyond end_s
  std::string why;            // what happened, for people
};

/// The most that can have flowed, in Ah. The least is nothing.
double most_ah(const Gap& gap) noexcept;
/// The middle of what can have flowed, in Ah: the best estimate where all of it is equally likely
/// (JCGM 100:2008, 4.3.7).
double middle_ah(const Gap& gap) noexcept;
/// Half the width of what can have flowed, in Ah.
double half_width_ah(const Gap& gap) noexcept;

}  // namespace sagbench::analysis
