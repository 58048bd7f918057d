// What a person is told when a load, its line or the disk fails in a run, word by word. In virtual
// time; with a load on a socket: told_faults_test.py.

#include "catch.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using reports::RunEnd;

namespace {

using nlohmann::json;

const json kRest = json::array({{{"do", "rest"}, {"seconds", 5}}});
const json kPeak = json::array({{{"do", "peak-current"}, {"currents_A", {5}}, {"hold_s", 1}}});
const json kCapacity = json::array({{{"do", "capacity"}, {"rate_It", 0.5}}});

constexpr double kOpened_s = 1.0;  // by then the instruments are open, and a rest has begun

}  // namespace

TEST_CASE("what a load reports of a step is told when it is switched off") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 1);
  bool told = false;
  run.meddle = [&](double, const std::string& line, const std::string& asked, std::string& answer) {
    const auto& sent = run.sent();
    const bool just_switched_off = line == "load" && asked == "SYST:ERR?" && sent.size() > 3 &&
                                   sent[sent.size() - 3].text == "INP OFF" &&
                                   sent[sent.size() - 2].text == "INP?";
    if (!just_switched_off || told) return true;
    told = true;
    answer = "-310,\"Fan stands still\"\n";
    return true;
  };
  const auto closing = run.run(kPeak, folder.file("a.db"));
  REQUIRE(told);
  CHECK(closing.end == RunEnd::instrument);
  CAPTURE(closing.reason);
  CHECK(closing.reason.ends_with(": during the step the load reported -310,\"Fan stands still\""));
  CHECK(closing.load_confirmed_off);
  CHECK(record_of(folder.file("a.db")).closing.reason == closing.reason);
}

TEST_CASE("a line that is lost for longer than the watch time ends the run, and is found for OFF") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 2);
  run.cut = [](double time_s, const std::string& line) {
    return line == "load" && time_s > 600.0 && time_s < 620.0;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::instrument);
  CAPTURE(closing.reason);
  CHECK(closing.reason.find("unplugged") != std::string::npos);
  CHECK(closing.reason.ends_with(", and not found again in time"));
  CHECK_FALSE(run.alarms().empty());
  CHECK(closing.load_confirmed_off);
  CHECK_FALSE(run.truth().input_on);
}

TEST_CASE("a load that went off while its line was lost is not taken for an empty pack") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 5);
  run.cut = [](double time_s, const std::string& line) {
    return line == "load" && time_s > 600.0 && time_s < 601.0;
  };
  run.meddle = [](double time_s, const std::string&, const std::string& asked,
                  std::string& answer) {
    if (time_s > 601.0 && asked == "INP?") answer = "0\n";
    return true;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::instrument);
  CAPTURE(closing.reason);
  CHECK(closing.reason.ends_with(": the input went off when the line was lost"));
  CHECK_FALSE(run.truth().input_on);
}

TEST_CASE("a plan that went well ends badly where the load cannot be confirmed off") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 3);
  run.meddle = [](double time_s, const std::string&, const std::string& asked,
                  std::string& answer) {
    if (time_s > kOpened_s && asked == "INP?") answer = "1\n";
    return true;
  };
  const auto closing = run.run(kRest, folder.file("a.db"));
  CHECK(closing.end == RunEnd::instrument);
  CHECK(closing.reason == "the load could not be confirmed off");
  CHECK_FALSE(closing.load_confirmed_off);
  CHECK_FALSE(run.alarms().empty());
  const auto record = record_of(folder.file("a.db"));
  CHECK(record.closing.reason == closing.reason);
  CHECK(record.steps.back().end == analysis::StepEnd::completed);
}

TEST_CASE("a disk that hangs at the end does not hold up the run, and is named") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 4);
  run.meanwhile = [&](double time_s) {
    const bool ending = time_s > kOpened_s && run.sent().back().text == "INP?";
    run.disk_hangs = run.disk_hangs || ending;
    return false;
  };
  const auto closing = run.run(kRest, folder.file("a.db"));
  REQUIRE(run.disk_hangs);
  CHECK(closing.end == RunEnd::safety);
  CHECK(
      closing.reason ==
      "the archive cannot be written: its disk does not answer; the archive lacks the end of this "
      "run");
  CHECK(closing.load_confirmed_off);
}
