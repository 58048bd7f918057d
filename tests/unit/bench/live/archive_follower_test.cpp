// A run that another program carries out, as the page of an archive follows it.

#include "bench/live/archive_follower.hpp"

#include <chrono>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "reports/archive.hpp"
#include "reports/run_claim.hpp"
#include "temporary_folder.hpp"

using namespace sagbench;
using namespace sagbench::live;
using nlohmann::json;

namespace {

/// Always takes what it is sent.
class Listener final : public Outlet {
 public:
  bool idle() const override { return true; }
  void send(std::vector<Message> messages) override {
    for (const Message& message : messages) {
      json heard = json::parse(*message);
      const std::string type = heard["type"];
      of_type[type] = std::move(heard);
    }
  }
  void drop() override {}

  std::map<std::string, json> of_type;  // the newest of each
};

reports::RunHeader header() {
  reports::RunHeader made;
  made.utc = "2026-06-20T08:00:00Z";
  made.pack_name = "Thimble";
  made.pack_json = R"({"schema": "sagbench/pack/1", "name": "Thimble", "chemistry": "LFP",
      "series": 4, "rated_capacity_Ah": 2})";
  made.bench_json = R"({"schema": "sagbench/bench/1", "name": "Bench"})";
  made.plan_json = R"({"schema": "sagbench/plan/1", "steps": [{"do": "rest", "seconds": 9}]})";
  return made;
}

}  // namespace

// It looks once a second: as often as this test waits for it.
TEST_CASE("a run whose program is gone is told as ended, with what to look at") {
  const tests::TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  std::string id;
  {
    reports::Archive archive(path, reports::Archive::Access::write,
                             reports::Archive::Durability::process_crash);
    id = archive.begin_run(header());
  }
  auto claim = reports::RunClaim::take(path, id);  // the program that carries it out
  REQUIRE(claim);
  boost::asio::io_context io;
  LiveService service(io, path, nullptr);
  const auto listener = std::make_shared<Listener>();
  REQUIRE(service.feed().follow(listener, std::nullopt, ""));
  const ArchiveFollower follower(io, service, path);
  const auto wait_for = [&](const std::string& type) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(60);
    while (listener->of_type.count(type) == 0 && std::chrono::steady_clock::now() < end)
      io.run_one();
    CAPTURE(type, json(listener->of_type).dump());
    REQUIRE(listener->of_type.count(type) == 1);
  };
  wait_for("state");
  CHECK(listener->of_type["hello"]["run"]["id"] == id);
  CHECK(listener->of_type.count("end") == 0);
  claim.reset();  // and dies
  wait_for("end");
  const json& end = listener->of_type["end"];
  CHECK(end["run"] == id);
  CHECK(end["reason"] ==
        "the program that carried it out is gone; look at the load, its input may be on still");
  CHECK(end["load_confirmed_off"] == false);
  service.close();
}
