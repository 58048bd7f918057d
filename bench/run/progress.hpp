#pragma once
// What is going on, for whoever watches. The controller writes it, a display reads it.

#include <cstddef>
#include <optional>
#include <string>

namespace sagbench::bench {

/// How long something takes, and by how much it may be shorter or longer.
struct TimeLeft {
  double seconds = 0.0;
  double doubt_s = 0.0;
};

struct Progress {
  std::optional<double> step_ends_s;  // expected, seconds since the run's start
  double step_doubt_s = 0.0;          // of that, to either side
  std::size_t plan_step = 0;          // which of the plan's, from 0; a recharge: the one it is for
  std::string label{};                // "capacity at 2 A"
  std::optional<TimeLeft> later{};    // the plan's steps after this one; absent: cannot be told
};

}  // namespace sagbench::bench
