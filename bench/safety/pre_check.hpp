#pragma once
// What must be true before a pack is energised. The first part needs no instruments, the second
// looks with the input off.

#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "bench/files/bench_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/safety/limits.hpp"

namespace sagbench::bench {

/// The plan against pack, fuse and load, by the files alone. Throws InputError naming file, step
/// and key.
void check_plan(const Plan& plan, const analysis::Pack& pack, const Bench& bench);
/// The pack against the load, by the files alone. Throws InputError naming `bench_origin`.
void check_pack_fits(const analysis::Pack& pack, const Bench& bench,
                     const std::string& bench_origin);

enum class CheckResult { good, doubtful, bad };

struct CheckLine {
  CheckResult result = CheckResult::good;
  std::string text;    // what was found
  std::string remedy;  // what to do; empty when good
};

/// Judges a look at the pack with the input off: polarity, voltage against chemistry and series
/// count, sense leads, cell taps, temperature, current. In the order a person can fix things.
std::vector<CheckLine> check_look(const analysis::Sample& look, const analysis::Pack& pack,
                                  const Bench& bench, const Limits& limits);

/// Power of the plan's highest current at the voltage found, against the load. Empty when it fits.
std::vector<CheckLine> check_power(const Plan& plan, const analysis::Pack& pack, const Bench& bench,
                                   double rested_v);

}  // namespace sagbench::bench
