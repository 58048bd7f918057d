#pragma once
// What the computer's calendar says now.

#include <string>

namespace sagbench::bench {

/// ISO 8601, to the second: "2026-03-01T14:02:33Z".
std::string utc_now();
/// To the millisecond: "2026-03-01T14:02:33.250Z". What is added to a run in turn keeps its order.
std::string utc_now_ms();

}  // namespace sagbench::bench
