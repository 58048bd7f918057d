#include "bench/live/give_way.hpp"

#include <sys/resource.h>
#include <unistd.h>

namespace sagbench::live {

void give_way() noexcept {
  constexpr int kNiceness = 10;
  setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), kNiceness);
}

}  // namespace sagbench::live
