#pragma once
// One specimen measured by a whole run, and what its figures miss the truth by.

#include <cstdint>
#include <string>
#include <vector>

namespace sagbench::intervals {

/// One figure of one specimen.
struct Outcome {
  std::string figure;  // "capacity", "energy", "resistance", "margin, QRP", ...
  std::string unit;
  double measured = 0.0;
  double expanded_u = 0.0;
  double truth = 0.0;

  double miss() const noexcept { return measured - truth; }
  bool held() const noexcept { return miss() <= expanded_u && miss() >= -expanded_u; }
};

/// Throws std::runtime_error where the run did not come to its end or lacks a figure.
std::vector<Outcome> tried(std::uint64_t seed);
/// The margin of a radio that was on the air until its pack was empty.
Outcome tried_on_air(std::uint64_t seed);
/// "LFP 12.3 Ah".
std::string name_of(std::uint64_t seed);

}  // namespace sagbench::intervals
