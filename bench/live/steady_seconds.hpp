#pragma once
// Real time for deadlines and rates of the live page, whatever clock the run has.

#include <chrono>

namespace sagbench::live {

/// Seconds since some moment in the past; never goes back.
inline double steady_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

}  // namespace sagbench::live
