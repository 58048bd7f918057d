// What a person is told before handling a pack, word by word.
#include "reports/cautions.hpp"

#include "catch.hpp"

namespace sagbench::reports {
namespace {

using Cautions = std::vector<std::string>;
using analysis::Chemistry;

Cautions cautions_for(Chemistry chemistry) {
  analysis::Pack pack;
  pack.chemistry = chemistry;
  return safety_cautions(pack);
}

}  // namespace

TEST_CASE("cautions of every pack begin with a short circuit and end with the maker's word") {
  for (const auto chemistry : {Chemistry::lfp, Chemistry::nmc, Chemistry::agm, Chemistry::nimh}) {
    const Cautions found = cautions_for(chemistry);
    REQUIRE(found.size() == 5);
    CHECK(found[0] ==
          "Short circuit: a pack drives hundreds of amperes through a ring or a spanner. Fuse it "
          "at the pack, cover the terminals, take off rings and watches.");
    CHECK(found[1] == "Heat: a pack, lead or plug too hot to hold means stop and disconnect.");
    CHECK(found[3] ==
          "Unattended: leave no test or charge alone unless the instrument itself cuts off at low "
          "voltage when the computer dies.");
    CHECK(found[4] == "The maker's data sheet and local rules come before anything printed here.");
  }
}

TEST_CASE("what a pack may give off goes by its chemistry") {
  CHECK(cautions_for(Chemistry::lfp)[2].starts_with(
      "Venting: a lithium cell that swells, hisses or smells may burn."));
  CHECK(cautions_for(Chemistry::flooded)[2] ==
        "Gas and acid: a lead-acid battery gives off hydrogen, most of all on charge. Ventilate, "
        "keep sparks away, protect the eyes.");
  CHECK(cautions_for(Chemistry::nimh)[2] ==
        "Venting: a sealed cell that is overcharged or reversed gives off hydrogen. Ventilate and "
        "keep sparks away.");
}

}  // namespace sagbench::reports
