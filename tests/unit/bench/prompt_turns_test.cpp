// Prompt turns change neither policy nor niceness.
#include "bench/system/prompt_turns.hpp"

#include <sched.h>
#include <sys/resource.h>

#include <thread>

#include "catch.hpp"

TEST_CASE("asking for prompt turns leaves policy and niceness as they are") {
  constexpr int kNicer = 3;
  int policy = -1, before = -1, after = -1;
  std::thread([&] {  // of a thread of its own: niceness cannot be taken back
    const int own = ::getpriority(PRIO_PROCESS, 0);
    ::setpriority(PRIO_PROCESS, 0, own + kNicer);
    before = ::getpriority(PRIO_PROCESS, 0);
    sagbench::bench::ask_for_prompt_turns();
    after = ::getpriority(PRIO_PROCESS, 0);
    policy = ::sched_getscheduler(0);
  })
      .join();
  CHECK(after == before);
  CHECK(policy == ::sched_getscheduler(0));
}
