#pragma once
// Lengths of time as messages and lists on the terminal have them.

#include <string>

namespace sagbench::bench {

/// "42 s", "3 min 05 s", "3 h 07 min".
std::string duration_text(double seconds);
/// Without seconds, from two minutes on: "3 min", "3 h 07 min".
std::string rough_duration_text(double seconds);

}  // namespace sagbench::bench
