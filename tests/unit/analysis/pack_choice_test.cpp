// The lightest pack that does it for sure, and why the others are not chosen.

#include "analysis/pack_choice.hpp"

#include <optional>
#include <vector>

#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;

PackAnswer answer(const std::string& name, std::optional<double> mass_kg,
                  std::optional<bool> enough) {
  PackAnswer made;
  made.pack = name;
  made.mass_kg = mass_kg;
  made.endurance.hours = Measured{5.0, 0.1, 2.0};
  made.endurance.enough = enough;
  return made;
}

Operation carrying(std::optional<double> limit_kg) {
  Operation operation;
  operation.carry_limit_kg = limit_kg;
  return operation;
}

TEST_CASE("the lightest that is enough for sure and not too heavy is chosen") {
  const std::vector<PackAnswer> answers = {
      answer("heavy", 3.5, true),        answer("mid", 2.0, true),
      answer("light", 1.0, true),        answer("short", 0.5, false),
      answer("open", 0.4, std::nullopt), answer("unweighed", std::nullopt, true)};
  const auto choice = choose_pack(answers, carrying(3.0));
  REQUIRE(choice.chosen);
  CHECK(*choice.chosen == 2);
  CHECK(choice.judgements[2].why.empty());
  CHECK(choice.judgements[0].why == "too heavy: 3.50 kg");
  CHECK(choice.judgements[1].why == "does it as well, but weighs 2.00 kg");
  CHECK(choice.judgements[3].why == "lasts 5.00 +/- 0.10 h, not enough for sure");
  CHECK(mentions(choice.judgements[4].why, "not known to be enough"));
  CHECK(choice.judgements[5].why == "its file states no mass");
  CHECK(choice.judgements[1].does);
  CHECK_FALSE(choice.judgements[0].does);
}

TEST_CASE("without a limit the heaviest may do it, and of equals the first") {
  const std::vector<PackAnswer> answers = {answer("first", 9.0, true), answer("second", 9.0, true)};
  CHECK(*choose_pack(answers, carrying(std::nullopt)).chosen == 0);
}

TEST_CASE("none is chosen where none does it") {
  const std::vector<PackAnswer> answers = {answer("short", 0.5, false)};
  const auto choice = choose_pack(answers, carrying(1.0));
  CHECK_FALSE(choice.chosen);
  CHECK(mentions(choice.chosen.why(), "no pack"));
  CHECK_FALSE(choose_pack({}, carrying(1.0)).chosen);
}

TEST_CASE("bounds are told as what they are") {
  auto least = answer("least", 1.0, std::nullopt);
  least.endurance.hours_are_minimum = true;
  auto most = answer("most", 1.0, std::nullopt);
  most.endurance.hours_are_maximum = true;
  auto cold = answer("cold", 1.0, std::nullopt);
  cold.endurance.enough_if_cold_leaves = 0.31;
  auto none = answer("none", 1.0, false);
  none.endurance.hours = Finding<Measured>::missing("it does not start");
  const std::vector<PackAnswer> answers = {least, most, none, cold};
  const auto judgements = choose_pack(answers, carrying(1.0)).judgements;
  CHECK(mentions(judgements[0].why, "at least 5.00"));
  CHECK(mentions(judgements[1].why, "at most 5.00"));
  CHECK(judgements[2].why == "it does not start");
  CHECK(mentions(judgements[3].why, "if the cold leaves 31 % of its hours"));
}

}  // namespace
}  // namespace sagbench::analysis
