// Whose figures may be compared.
#include "analysis/conditions.hpp"

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

Conditions discharge(double rate_it, std::optional<double> temperature_c, double end_cell_v = 2.5,
                     Chemistry chemistry = Chemistry::lfp) {
  Conditions conditions;
  conditions.rate_it = rate_it;
  conditions.temperature_c = temperature_c;
  conditions.end_cell_v = end_cell_v;
  conditions.chemistry = chemistry;
  return conditions;
}

using Groups = std::vector<std::vector<std::size_t>>;

Groups groups(const std::vector<Conditions>& all) {
  return alike_groups(all);
}

}  // namespace

TEST_CASE("conditions are alike up to their limits and no further") {
  const Conditions one = discharge(0.2, 20);
  CHECK(alike(one, discharge(0.225, 25)));
  CHECK_FALSE(alike(one, discharge(0.226, 20)));
  CHECK_FALSE(alike(one, discharge(0.2, 25.1)));
  CHECK(alike(one, discharge(0.2, 20, 2.52)));
  CHECK_FALSE(alike(one, discharge(0.2, 20, 2.53)));
  CHECK(alike(one, discharge(0.2, 20, 1.75, Chemistry::agm)));
}

TEST_CASE("what only one of them has is not alike") {
  CHECK_FALSE(alike(discharge(0.2, 20), discharge(0.2, std::nullopt)));
  CHECK(alike(discharge(0.2, std::nullopt), discharge(0.2, std::nullopt)));
}

TEST_CASE("what tells two apart is said") {
  CHECK(unlike_words(discharge(0.2, 20), discharge(0.2, 21)).empty());
  CHECK(unlike_words(discharge(1.0, 5), discharge(0.2, 20)) ==
        "1 It instead of 0.2 It; 5 \xC2\xB0"
        "C instead of 20 \xC2\xB0"
        "C");
  CHECK(unlike_words(discharge(0.2, std::nullopt), discharge(0.2, 20)) ==
        "temperature not known instead of 20 \xC2\xB0"
        "C");
  Conditions euro, crown;
  euro.currency = "EUR";
  crown.currency = "SEK";
  CHECK(unlike_words(crown, euro) == "in SEK instead of EUR");
}

TEST_CASE("in a group every two are alike, though alike does not carry on from one to the next") {
  // 18 and 22 are alike, and 22 and 26, but not 18 and 26.
  const std::vector<Conditions> all = {discharge(0.2, 18), discharge(0.2, 22), discharge(0.2, 26),
                                       discharge(0.2, 27)};
  CHECK(groups(all) == Groups{{0, 1}, {2, 3}});
}

TEST_CASE("the largest group comes first, and its conditions in words") {
  const std::vector<Conditions> all = {discharge(1.0, 20), discharge(0.2, 20), discharge(0.2, 23)};
  CHECK(groups(all) == Groups{{1, 2}, {0}});
  CHECK(words_on(std::vector{all[1], all[2]}) ==
        "0.2 It, 20 to 23 \xC2\xB0"
        "C, to 2.5 V a cell");
}

TEST_CASE("end voltages of several chemistries are told apart") {
  const std::vector<Conditions> all = {discharge(0.2, 20),
                                       discharge(0.2, 20, 1.75, Chemistry::agm)};
  CHECK(words_on(all) ==
        "0.2 It, 20 \xC2\xB0"
        "C, to 2.5 V a cell (LFP), to 1.75 V a cell (AGM)");
}

}  // namespace sagbench::analysis
