// What a report must not replace.
#include <filesystem>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

namespace fs = std::filesystem;

TEST_CASE("a device is no target: the report must not take its place") {
  REQUIRE_THROWS_AS(write_test_report(fixture::empty_run(), "/dev/null"), ReportError);
  CHECK(fs::is_character_file("/dev/null"));
}

}  // namespace sagbench::reports
