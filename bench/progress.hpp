#pragma once
// What is going on, for whoever watches. Procedures write it, a display reads it.

#include <optional>
#include <string>

namespace sagbench::bench {

struct Progress {
  std::string step;                   // "2/4 capacity at 2 A"
  std::optional<double> step_ends_s;  // expected, seconds since the run's start
};

}  // namespace sagbench::bench
