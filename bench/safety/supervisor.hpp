#pragma once
// The safety machine: latest readings, limits and what was seen before in, one action out. Pure: no
// clock, no I/O, no coroutine. An absent, stale or impossible reading is unsafe, never zero.

#include <string>
#include <string_view>

#include "bench/safety/limits.hpp"
#include "bench/safety/safety_checks.hpp"
#include "bench/safety/slow_dangers.hpp"
#include "bench/safety/snapshot.hpp"

namespace sagbench::bench {

/// What is to be done, and why. With carry_on the rest has no meaning.
struct Verdict {
  Action action = Action::carry_on;
  CheckId cause = CheckId::stale;
  std::string message;  // what happened, with value and limit

  bool calm() const noexcept { return action == Action::carry_on; }
  bool must_stop() const noexcept { return action == Action::switch_off; }
  std::string_view remedy() const noexcept { return check_of(cause).remedy; }
  std::string_view clears() const noexcept { return check_of(cause).clears; }
};

/// For people: which check, what happened, what to do.
std::string explained(const Verdict& verdict);

/// Current that flows although nothing may, however short ago the input went off.
Verdict current_flows(const Snapshot& now, const Limits& limits);

/// The worst that is the case, after `memory` has taken in what is new. While the input is off only
/// what matters then is checked: current once it had time to vanish, and heat. A warning is given
/// once a run. Call it with every reading, in the order of time.
Verdict judge(const Snapshot& now, const Limits& limits, Memory& memory);

/// Energising is earned: everything fresh, everything within limits, as if the input were on.
Verdict refusal_to_energise(const Snapshot& now, const Limits& limits, const Memory& memory);

}  // namespace sagbench::bench
