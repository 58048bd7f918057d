#pragma once
// What every procedure is given, and what it gives back.

#include <cstdint>
#include <string>

#include "analysis/pack.hpp"
#include "analysis/recording.hpp"
#include "bench/radio/reduction.hpp"
#include "bench/safety/rig.hpp"

namespace sagbench::bench {

struct StepContext {
  Rig& rig;
  const analysis::Pack& pack;
  double
      reference_capacity_ah;  // measured in this run, else rated: what a state of charge refers to
  std::uint64_t seed;         // of the operator's patterns
  Agility load;               // as far as it does not depend on the line

  /// State of charge by counting, 0..1 and a little outside.
  double charge() const { return 1.0 - rig.charge_removed_ah() / reference_capacity_ah; }
};

/// A state of charge is taken as reached when it is missed by no more than this.
inline constexpr double kChargeReached = 0.02;

struct StepOutcome {
  analysis::StepEnd end = analysis::StepEnd::completed;
  std::string why;
};

}  // namespace sagbench::bench
