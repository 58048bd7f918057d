// A transmit step of which nothing can be foretold is run all the same, and the record says why.
#include <algorithm>
#include <optional>

#include "catch.hpp"
#include "reports/sqlite_database.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using bench::Foretelling;
using nlohmann::json;

namespace {

json minute_on_the_air() {
  const json radio = {{"schema", "sagbench/radio/1"}, {"name", "Q1"},         {"class", "QRP"},
                      {"supply_min_V", 11.0},         {"supply_max_V", 15.9}, {"receive_A", 0.2},
                      {"transmit_peak_A", 2.0}};
  return json::array({{{"do", "transmit"},
                       {"radio", radio},
                       {"mode", "cw"},
                       {"transmit_share", 0.5},
                       {"minutes", 1}}});
}

/// The run's only word about a prediction, its step being done.
std::string told(VirtualRun& run, const std::string& path) {
  CHECK(run.run(minute_on_the_air(), path).end == reports::RunEnd::done);
  const auto record = record_of(path);
  CHECK(record.steps.back().end == analysis::StepEnd::completed);
  std::vector<std::string> found;
  for (const reports::Event& event : record.events)
    if (event.text.find("predict") != std::string::npos) found.push_back(event.text);
  REQUIRE(found.size() == 1);
  return found.front();
}

/// Nobody else reads the archive as long as this lives.
class Held {
 public:
  explicit Held(const std::string& path) : database_(path, path, SQLITE_OPEN_READWRITE) {
    database_.execute("PRAGMA journal_mode = DELETE; BEGIN EXCLUSIVE");
  }

 private:
  reports::Database database_;
};

}  // namespace

TEST_CASE("what cannot be read back foretells nothing") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1);
  run.foretell = [&](const std::string& id) {
    return std::make_unique<Foretelling>(folder.file("another.db"), id, true);
  };
  CHECK(told(run, folder.file("a.db")) ==
        "no prediction: what was measured cannot be read back from the archive");
}

TEST_CASE("a record that cannot be worked with foretells nothing, and its fault is told") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1);  // whose record holds no pack file
  std::string run_id;
  run.foretell = [&](const std::string& id) {
    run_id = id;
    return std::make_unique<Foretelling>(folder.file("a.db"), id, true);
  };
  CHECK(told(run, folder.file("a.db")).find("no prediction can be made: run " + run_id + ": ") ==
        0);
}

TEST_CASE("a prediction that takes too long is not waited for") {
  const TemporaryFolder folder;
  const std::string other = folder.file("b.db");
  { const reports::Archive made(other, reports::Archive::Access::write); }
  std::optional<Held> held(other);
  VirtualRun run(demo_pack(), demo_bench(4), 1);
  run.foretell = [&](const std::string& id) {
    return std::make_unique<Foretelling>(other, id, false);
  };
  constexpr double kGivenUp_s = 35.0;
  run.meanwhile = [&](double time_s) {
    if (time_s > kGivenUp_s) held.reset();  // or the run's end would wait for that reader
    return false;
  };
  CHECK(told(run, folder.file("a.db")) == "no prediction: it took more than 30 s");
}
