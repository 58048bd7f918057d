// Dangers that no single reading shows, on whole runs: an instrument's answers are led astray
// little by little, and the record must say why the run ended, or what was warned of.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using reports::RunEnd;

namespace {

const nlohmann::json kTenAmperes = {{{"do", "rest"}, {"seconds", 5}},
                                    {{"do", "capacity"}, {"current_A", 10}}};
const nlohmann::json kTwentyAmperes = {{{"do", "rest"}, {"seconds", 5}},
                                       {{"do", "capacity"}, {"current_A", 20}}};
constexpr double kBegins_s = 300.0;

bool warned_of(const std::string& archive, const std::string& name) {
  const auto record = record_of(archive);
  return std::any_of(record.events.begin(), record.events.end(), [&](const auto& event) {
    return event.severity == "warning" && event.text.rfind(name + ":", 0) == 0;
  });
}

std::string number(double value) {
  return fmt::format("{:.6E}\n", value);
}

/// From kBegins_s on the answer to `question` stays what it was.
Meddle freezing(const std::string& question) {
  return [question, frozen = std::string()](double time_s, const std::string&,
                                            const std::string& asked, std::string& answer) mutable {
    if (asked != question || time_s < kBegins_s) return true;
    if (frozen.empty()) frozen = answer;
    answer = frozen;
    return true;
  };
}

void check_ended_by(const reports::RunClosing& closing, const std::string& name, VirtualRun& run) {
  CAPTURE(closing.reason);
  CHECK(closing.end == RunEnd::safety);
  CHECK(closing.reason.rfind(name + ":", 0) == 0);
  CHECK(closing.load_confirmed_off);
  CHECK_FALSE(run.truth().input_on);
  CHECK_FALSE(run.truth().cell_below_floor);
}

}  // namespace

TEST_CASE("slow danger: the only voltage there is freezes") {
  const TemporaryFolder folder;
  bench::Bench bench = demo_bench(0);
  bench.meter.reset();
  VirtualRun run(demo_pack(), bench, 21);
  run.meddle = freezing("MEAS:VOLT?");
  check_ended_by(run.run(kTenAmperes, folder.file("a.db")), "reading_frozen", run);
}

TEST_CASE("slow danger: a tapped cell's reading freezes while the cell goes on emptying") {
  const TemporaryFolder folder;
  std::vector<drivers::virtual_bench::CellTrait> cells(4);
  cells[2].capacity_factor = 0.6;
  VirtualRun run(demo_pack(), demo_bench(4), 22, cells);
  run.meddle = freezing("MEAS:VOLT? (@104)");
  check_ended_by(run.run(kTenAmperes, folder.file("a.db")), "cells_disagree", run);
}

TEST_CASE("slow danger: the pack warms six degrees a minute") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 23);
  run.meddle = [](double time_s, const std::string&, const std::string& asked,
                  std::string& answer) {
    if (asked == "MEAS:TEMP? (@120)")
      answer = number(23.0 + std::max(0.0, time_s - kBegins_s) * 6.0 / 60.0);
    return true;
  };
  check_ended_by(run.run(kTenAmperes, folder.file("a.db")), "heating_fast", run);
  CHECK(warned_of(folder.file("a.db"), "heating"));
}

TEST_CASE("slow danger: a contact comes loose and takes more and more") {
  const TemporaryFolder folder;
  bench::Bench bench = demo_bench(4);
  bench.leads_ohm = 0.01;
  VirtualRun run(demo_pack(), bench, 24);
  run.meddle = [](double time_s, const std::string& line, const std::string& asked,
                  std::string& answer) {
    if (line == "load" && asked == "MEAS:VOLT?" && time_s > kBegins_s)
      answer = number(std::stod(answer) - 0.001 * (time_s - kBegins_s));
    return true;
  };
  check_ended_by(run.run(kTwentyAmperes, folder.file("a.db")), "contact_hot", run);
  CHECK(warned_of(folder.file("a.db"), "contact_warming"));
}

TEST_CASE("slow danger: a current that vanishes ends the step before it can come back") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 25);
  double vanished_s = -1.0;
  run.meddle = [&](double time_s, const std::string&, const std::string& asked,
                   std::string& answer) {
    if (asked != "MEAS:CURR?" || time_s < kBegins_s || vanished_s > 0.0) return true;
    vanished_s = time_s;
    answer = "0.0\n";
    return true;
  };
  run.run(kTenAmperes, folder.file("a.db"));
  const auto off = std::find_if(run.sent().begin(), run.sent().end(), [&](const Sent& sent) {
    return sent.time_s > vanished_s && sent.text == "INP OFF";
  });
  REQUIRE(off != run.sent().end());
  CHECK(off->time_s < vanished_s + 2.0);
}

TEST_CASE("slow danger: a weak cell is told of long before the pack ends") {
  const TemporaryFolder folder;
  std::vector<drivers::virtual_bench::CellTrait> cells(4);
  cells[1].capacity_factor = 0.7;
  VirtualRun run(demo_pack(), demo_bench(4), 26, cells);
  CHECK(run.run(kTenAmperes, folder.file("a.db")).end == RunEnd::done);
  CHECK(warned_of(folder.file("a.db"), "cell_falling_away"));
  CHECK_FALSE(run.truth().cell_below_floor);
}

TEST_CASE("a sound pack gives no cause for a warning, down to its end") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 27);
  CHECK(run.run(kTwentyAmperes, folder.file("a.db")).end == RunEnd::done);
  for (const auto& event : record_of(folder.file("a.db")).events) CHECK(event.severity == "note");
}
