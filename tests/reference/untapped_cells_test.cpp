// How often the end of a discharge without taps is read wrongly: on simulated packs, and on
// measured cells, which are alike with themselves.

#include <algorithm>

#include "analysis/capacity.hpp"
#include "analysis/end_shape.hpp"
#include "catch.hpp"
#include "cells_trial.hpp"
#include "reports/measured_csv.hpp"

namespace sagbench::tests {
namespace {

using analysis::Chemistry;

struct Count {
  int alone = 0, together = 0, untold = 0;
};

Count count(CellsTrial trial, int seeds) {
  Count found;
  for (int seed = 1; seed <= seeds; ++seed) {
    trial.seed = static_cast<std::uint64_t>(seed);
    const auto told = outcome(trial).told;
    if (!told)
      ++found.untold;
    else if (told->one_alone)
      ++found.alone;
    else
      ++found.together;
  }
  return found;
}

}  // namespace

TEST_CASE("simulated LFP packs: cells alike are not called weak, a weak one is not called sound") {
  constexpr int kSeeds = 40;
  const Count alike = count({}, kSeeds);
  CAPTURE(alike.alone, alike.together, alike.untold);
  CHECK(alike.alone == 0);
  const double missing = GENERATE(0.1, 0.15, 0.2);
  const Count weak = count({.missing = missing}, kSeeds);
  CAPTURE(missing, weak.alone, weak.together, weak.untold);
  CHECK(weak.together == 0);
  CHECK(weak.alone >= kSeeds * 9 / 10);
}

TEST_CASE("a weak cell's voltage at the end is told to a few tenths of a volt") {
  const CellsOutcome found = outcome({.missing = 0.15, .seed = 3});
  REQUIRE(found.told);
  REQUIRE(found.told->one_alone);
  CHECK(found.told->weakest_v.value() == Approx(found.lowest_cell_v).margin(0.3));
  CHECK(found.lowest_cell_v < 1.0);  // driven deep: its limit is 2.5 V
}

TEST_CASE("simulated packs with a board: it opens high for a weak cell, and for no other") {
  constexpr int kSeeds = 10;
  const auto chemistry = GENERATE(Chemistry::lfp, Chemistry::nmc);
  CHECK(count({.chemistry = chemistry, .board = true}, kSeeds).alone == 0);
  CHECK(count({.chemistry = chemistry, .board = true, .missing = 0.2}, kSeeds).alone == kSeeds);
}

TEST_CASE("where a weak cell looks like none, nothing is claimed") {
  const auto chemistry = GENERATE(Chemistry::nmc, Chemistry::agm, Chemistry::nimh);
  for (const double missing : {0.0, 0.15})
    CHECK(count({.chemistry = chemistry, .missing = missing}, 3).untold == 3);
}

}  // namespace sagbench::tests
