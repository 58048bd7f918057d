// Stated intervals against the truth of the simulated world, for a few packs of the population; the
// program `intervals` prints the table of all.

#include <cmath>
#include <iostream>

#include "catch.hpp"
#include "coverage.hpp"
#include "trial.hpp"

namespace sagbench::intervals {
namespace {

TEST_CASE("stated intervals hold the truth") {
  constexpr std::uint64_t kPacks = 8;  // two of each chemistry
  CoverageTable table;
  int figures = 0, held = 0;
  for (std::uint64_t seed = 1; seed <= kPacks; ++seed)
    for (const Outcome& outcome : tried(seed)) {
      CAPTURE(name_of(seed), outcome.figure, outcome.measured, outcome.expanded_u, outcome.truth);
      CHECK(std::abs(outcome.miss()) < 2.0 * outcome.expanded_u);
      table.add(outcome);
      ++figures;
      if (outcome.held()) ++held;
    }
  std::cout << table.text();
  CHECK(held >= std::ceil(0.9 * figures));
}

// C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404: the band of 0 of n is 1 - 0.025^(1/n)
// wide.
TEST_CASE("the band of a share is that of the binomial distribution") {
  Coverage none;
  for (int i = 0; i < 20; ++i) none.add({"", "", 1.0, 0.5, 0.0});
  CHECK(none.band().low == 0.0);
  CHECK(none.band().high == Approx(1.0 - std::pow(0.025, 1.0 / 20.0)));
  CHECK(none.mean_miss() == Approx(2.0));
  Coverage all;
  for (int i = 0; i < 20; ++i) all.add({"", "", -1.0, 2.0, 0.0});
  CHECK(all.band().low == Approx(std::pow(0.025, 1.0 / 20.0)));
  CHECK(all.band().high == 1.0);
  CHECK(all.mean_bias() == Approx(-0.5));
}

}  // namespace
}  // namespace sagbench::intervals
