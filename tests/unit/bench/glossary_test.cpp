#include "bench/text/glossary.hpp"

#include <algorithm>
#include <set>
#include <sstream>

#include "bench/text/lower_case.hpp"
#include "bench/text/text_width.hpp"
#include "catch.hpp"

using namespace sagbench::bench;

TEST_CASE("terms stand in the alphabet's order, and no word means two things") {
  std::set<std::string> words;
  std::string before;
  for (const Term& term : glossary()) {
    CHECK(before < lower(term.name));
    before = lower(term.name);
    CHECK(words.insert(lower(term.name)).second);
    for (const auto word : term.also) {
      INFO(word);
      CHECK(words.insert(lower(word)).second);
    }
  }
}

TEST_CASE("a term is found by its name, by another word for it, and by a part that only it has") {
  const auto one = [](std::string_view words) {
    const auto found = terms_like(words);
    REQUIRE(found.size() == 1);
    return found.front()->name;
  };
  CHECK(one("it") == "It");
  CHECK(one("K") == "coverage factor");
  CHECK(one("Usable on QRP") == "QRP");
  CHECK(one("peuk") == "peukert exponent");
}

TEST_CASE("what several terms have in common finds all of them, what none has nothing") {
  CHECK(terms_like("resistance of").size() == 3);
  CHECK(terms_like("horsepower").empty());
  CHECK(terms_like("q").empty());
}

TEST_CASE("no line of an explanation is longer than a terminal's") {
  for (const Term& term : glossary()) {
    std::istringstream lines(term_text(term));
    for (std::string line; std::getline(lines, line);) {
      INFO(line);
      CHECK(text_width(line) <= 80);
    }
  }
}
