// What is kept of a run for comparisons reads back as it was.
#include "reports/run_digest.hpp"

#include <cmath>
#include <string>

#include "catch.hpp"
#include "report_fixture.hpp"

namespace sagbench::reports {
namespace {

RunDigest read_back(const RunDigest& digest) {
  auto read = digest_from_json(digest_json(digest).dump());
  REQUIRE(read);
  read->pack = digest.pack;
  return *read;
}

TEST_CASE("a digest reads back as it was, whatever the run had") {
  const RunDigest digest =
      digest_of(GENERATE(fixture::whole_run(), fixture::aborted_run(), fixture::imported_run(),
                         fixture::empty_run(), fixture::crowded_run()));
  const RunDigest read = read_back(digest);
  CHECK(digest_json(read) == digest_json(digest));
  CHECK(read.capacity.why() == digest.capacity.why());
  REQUIRE(read.curve.size() == digest.curve.size());
  for (std::size_t i = 0; i < read.curve.size(); ++i) {
    CHECK(read.curve[i].x == digest.curve[i].x);
    CHECK((read.curve[i].y == digest.curve[i].y ||
           (std::isnan(read.curve[i].y) && std::isnan(digest.curve[i].y))));
  }
}

TEST_CASE("a digest holds the run's figures and a curve of few points") {
  const ReportInput input = fixture::whole_run();
  const RunDigest digest = digest_of(input);
  CHECK(digest.capacity->charge_ah.value == input.figures.capacity->charge_ah.value);
  CHECK(digest.capacity->charge_budget.terms.empty());
  CHECK(digest.dc_resistance->ohm.value == input.figures.dc_resistance->ohm.value);
  CHECK(digest.ratings.size() == input.figures.ratings.size());
  CHECK(digest.curve.size() > 50);
  CHECK(digest.curve.size() <= 400);
  CHECK(digest.discharged_ah > digest.capacity->charge_ah.value);
}

TEST_CASE("a run that carries the time of its import has no date of its own") {
  ReportInput input = fixture::imported_run();
  CHECK(digest_of(input).dated);
  input.record.header.notes = {"a note", std::string(kStampOfImport) + " Imported from a.csv"};
  CHECK_FALSE(digest_of(input).dated);
}

TEST_CASE("what is no digest is none") {
  for (const char* text : {"", "{", "{}", "[]", "3", R"({"run": 3})"})
    CHECK_FALSE(digest_from_json(text));
  Json spoilt = digest_json(digest_of(fixture::whole_run()));
  spoilt["ratings"][0]["verdict"] = "splendid";
  CHECK_FALSE(digest_from_json(spoilt.dump()));
}

}  // namespace
}  // namespace sagbench::reports
