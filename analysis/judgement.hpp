#pragma once
// What one requirement of a radio comes to on one pack.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

struct Judgement {
  std::string about{};  // a word or two, such as "supply"
  Verdict verdict = Verdict::suits;
  std::string because{};  // a sentence; empty where it is met and nothing is to be said
  /// By which it is met, in its own unit. Absent: stated or seen, not a matter of measurement.
  std::optional<Measured> margin{};
  std::vector<std::string> facts{};         // sentences: a figure, and where it was measured
  std::vector<std::string> would_change{};  // phrases: what would give it another verdict
};

}  // namespace sagbench::analysis
