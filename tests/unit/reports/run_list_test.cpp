// Which runs a list holds, and what it tells of their packs.
#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/pack_words.hpp"
#include "reports/run_filter.hpp"

namespace sagbench::reports {
namespace {

using testing::example_header;
using testing::TemporaryFolder;

RunSummary example() {
  RunSummary run;
  run.utc = "2026-03-01T23:59:59Z";
  run.pack_name = "Hilltop 4S";
  run.serial = "H-04";
  run.chemistry = "LFP";
  return run;
}

bool admits(const RunFilter& filter) {
  return filter.admits(example());
}

}  // namespace

TEST_CASE("A list tells what stands at the top of a pack's file, and nothing of what is no JSON") {
  const PackWords words = pack_words(
      R"({"builder":"Q1 \u00e9","name":"A","parts":[{"serial":"inner"}],"serial":"H-04","chemistry":"LFP"})");
  CHECK(words.serial == "H-04");
  CHECK(words.chemistry == "LFP");
  CHECK(words.builder == "Q1 é");
  CHECK(pack_words(R"({"serial":["H-04"],"chemistry":7})").serial.empty());
  CHECK(pack_words(R"({"serial":{"builder":"inner"},"builder":"Q"})").builder == "Q");
  for (const char* text : {"", "no JSON", "[]", R"({"serial":"H-04")"})
    CHECK(pack_words(text).serial.empty());
}

TEST_CASE("A filter admits what all of it applies to") {
  CHECK(admits({}));
  CHECK(admits({"hilltop h-04", "LFP", "2026-03-01", "2026-03-01"}));
  CHECK(admits({"04 TOP", "", "", ""}));
  CHECK(!admits({"hilltop valley", "", "", ""}));
  CHECK(!admits({"", "AGM", "", ""}));
  CHECK(!admits({"", "", "2026-03-02", ""}));
  CHECK(!admits({"", "", "", "2026-02-28"}));
}

TEST_CASE("The newest run is listed first, of one second the one begun last") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  std::vector<std::string> ids;
  for (const char* utc : {"2026-03-01T08:00:00Z", "2026-05-01T08:00:00Z", "2026-04-01T08:00:00Z",
                          "2026-04-01T08:00:00Z"}) {
    RunHeader header = example_header();
    header.utc = utc;
    header.pack_json = R"({"serial":"S"})";
    ids.push_back(archive.begin_run(header));
  }
  const auto runs = archive.runs();
  REQUIRE(runs.size() == 4);
  CHECK(runs[0].id == ids[1]);
  CHECK(runs[1].id == ids[3]);
  CHECK(runs[2].id == ids[2]);
  CHECK(runs[3].id == ids[0]);
  CHECK(runs[0].serial == "S");
  CHECK(runs[0].builder.empty());
}

}  // namespace sagbench::reports
