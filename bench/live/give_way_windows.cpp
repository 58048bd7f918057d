#include "bench/live/give_way.hpp"

#include <windows.h>

namespace sagbench::live {

void give_way() noexcept {
  SetThreadPriority(GetCurrentThread(), THREAD_PRIORITY_BELOW_NORMAL);
}

}  // namespace sagbench::live
