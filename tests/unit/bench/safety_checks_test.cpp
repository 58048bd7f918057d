// The page for people and the table in the program say the same.

#include "bench/safety/safety_checks.hpp"

#include <fstream>
#include <iterator>

#include "catch.hpp"

using namespace sagbench::bench;

namespace {

std::string file(const std::string& path) {
  std::ifstream in(path);
  REQUIRE(in);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("docs/safety-checks.md is the program's own table") {
  const std::string path = std::string(SAGBENCH_TEST_DATA) + "/../docs/safety-checks.md";
  const std::string page = safety_checks_page();
  if (std::getenv("SAGBENCH_WRITE_DOCS") != nullptr) std::ofstream(path) << page;
  INFO("SAGBENCH_WRITE_DOCS=1 with this test writes the page anew");
  CHECK(file(path) == page);
}

TEST_CASE("every check says limit, source, message, remedy and what clears it") {
  for (const SafetyCheck& check : safety_checks()) {
    CAPTURE(check.name);
    CHECK_FALSE(check.limit.empty());
    CHECK_FALSE(check.source.empty());
    CHECK_FALSE(check.message.empty());
    CHECK_FALSE(check.remedy.empty());
    CHECK_FALSE(check.clears.empty());
    CHECK(check.action != Action::carry_on);
    CHECK(name_of(check.id) == check.name);
    CHECK(safety_checks_page().find('`' + std::string(check.name) + '`') != std::string::npos);
  }
}
