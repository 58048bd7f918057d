// Predictions against what then happens on simulated packs, which are not of the prediction's own
// making (see the design, section 1). A few seeds; `predictions` prints the distribution of many.

#include <cmath>

#include "bench/run/predictions.hpp"
#include "catch.hpp"
#include "trial.hpp"

using namespace sagbench;
using analysis::Chemistry;
using analysis::RadioClass;

namespace {

void check(const tests::Trial& trial) {
  const auto found = tests::tried(trial);
  REQUIRE(found.size() == 2);
  for (const auto& test : found) {
    CAPTURE(tests::name_of(trial), bench::outcome_words(test));
    REQUIRE(test.predicted);
    REQUIRE(test.lowest_supply_v);
    CHECK(std::abs(test.predicted->lowest_supply_v.value - *test.lowest_supply_v) < 0.100);
  }
  CHECK_FALSE(found[0].hours);  // half an hour did not drive the radio off the air
  REQUIRE(found[1].hours);
  CAPTURE(bench::outcome_words(found[1]));
  CHECK(std::abs(found[1].predicted->hours.value / *found[1].hours - 1.0) < 0.05);
}

}  // namespace

TEST_CASE("predicted: LFP, full power") {
  check({Chemistry::lfp, RadioClass::qro, 5});
}

TEST_CASE("predicted: NMC, low power") {
  check({Chemistry::nmc, RadioClass::qrp, 1});
}

TEST_CASE("predicted: AGM, full power") {
  check({Chemistry::agm, RadioClass::qro, 3});
}

TEST_CASE("predicted: NiMH, low power") {
  check({Chemistry::nimh, RadioClass::qrp, 2});
}
