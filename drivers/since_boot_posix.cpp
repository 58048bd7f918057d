#include "drivers/since_boot.hpp"

#include <time.h>

namespace sagbench::drivers {

Time since_boot() noexcept {
  timespec now = {};
  clock_gettime(CLOCK_BOOTTIME, &now);
  return std::chrono::seconds(now.tv_sec) + std::chrono::nanoseconds(now.tv_nsec);
}

}  // namespace sagbench::drivers
