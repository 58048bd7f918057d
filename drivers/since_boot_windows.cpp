#include "drivers/since_boot.hpp"

#include <windows.h>

#include <ratio>

namespace sagbench::drivers {

// The performance counter counts standby and hibernation, too (Microsoft, "Acquiring
// high-resolution time stamps").
Time since_boot() noexcept {
  LARGE_INTEGER frequency = {}, count = {};
  QueryPerformanceFrequency(&frequency);
  QueryPerformanceCounter(&count);
  // Whole seconds apart, so that nothing overflows.
  const auto seconds = count.QuadPart / frequency.QuadPart;
  const auto rest = count.QuadPart % frequency.QuadPart * std::nano::den / frequency.QuadPart;
  return std::chrono::seconds(seconds) + std::chrono::nanoseconds(rest);
}

}  // namespace sagbench::drivers
