#pragma once
// Which of several packs to carry for an operation.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/endurance.hpp"

namespace sagbench::analysis {

/// A pack with the answer of one of its runs to the operation.
struct PackAnswer {
  std::string run_id;
  std::string pack;  // its name
  std::string serial;
  std::optional<double> mass_kg;
  Endurance endurance;
};

struct PackJudgement {
  bool does = false;  // enough for sure, of a known mass, within the carry limit where there is one
  std::string why;    // what keeps it from that, or from being chosen; empty for the chosen one
};

struct PackChoice {
  Finding<std::size_t> chosen;            // index of the lightest that does
  std::vector<PackJudgement> judgements;  // one for each answer, in their order
};

/// Of two as light as each other that do, the first.
PackChoice choose_pack(std::span<const PackAnswer> answers, const Operation& operation);

}  // namespace sagbench::analysis
