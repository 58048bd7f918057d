#pragma once
// The share of the processor, where it is contended.

namespace sagbench::bench {

/// Asks the system to give the calling thread, and those that it begins, their turn soon and for
/// 0.1 ms at a time: an edge, a reading or OFF that comes due then does not wait for milliseconds
/// until other programs have had theirs. Policy, niceness and the share of processor time stay.
/// Linux knows such a wish from 6.12 on; before, and where it is refused, nothing changes. On
/// Windows: that waits end to the millisecond.
void ask_for_prompt_turns() noexcept;

}  // namespace sagbench::bench
