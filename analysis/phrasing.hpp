#pragma once
// Numbers as people read them, for the sentences that go with figures.

#include <string>

namespace sagbench::analysis {

/// "12.10" for (12.1, 2); the decimal sign is a point whatever the locale. Never "-0.0".
std::string rounded(double value, int decimals);
/// "80 %" for 0.8.
std::string percent(double share);

}  // namespace sagbench::analysis
