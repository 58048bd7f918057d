#include <windows.h>
// After it: it wants its types.
#include <timeapi.h>

#include "bench/system/prompt_turns.hpp"

namespace sagbench::bench {

// Waits end with the system's tick, which comes each 16 ms unless a program asks for more.
void ask_for_prompt_turns() noexcept {
  constexpr UINT kTick_ms = 1;
  timeBeginPeriod(kTick_ms);
}

}  // namespace sagbench::bench
