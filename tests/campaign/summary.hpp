#pragma once
// What many seeds came to.

#include <array>
#include <cstdint>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "fault.hpp"
#include "trial.hpp"

namespace sagbench::campaign {

/// A figure at its worst, and the seed where it was.
struct Worst {
  double value;
  std::uint64_t seed = 0;
};

struct Summary {
  std::uint64_t seeds = 0;
  std::uint64_t compared = 0;                       // run twice
  std::array<std::uint64_t, kFaultKinds> faults{};  // that came about
  std::array<std::uint64_t, 5> by_count{};          // seeds with so many faults that came about
  std::map<std::string, std::uint64_t> endings;
  Worst margin_v{std::numeric_limits<double>::infinity()};
  Worst reserve_s{std::numeric_limits<double>::infinity()};
  Worst capacity_share{0.0};
  std::uint64_t capacities = 0;
  double world_s = 0.0;
  std::vector<std::string> failures;  // one line each that reproduces it

  void add(std::uint64_t seed, const std::vector<Fault>& faults, const Report& report);
  /// Of another part of the seeds.
  void add(const Summary& part);
};

/// For people.
std::string text_of(const Summary& summary);

/// As one block of lines, for a process to hand to another.
std::string packed(const Summary& summary);
Summary unpacked(const std::string& text);

}  // namespace sagbench::campaign
