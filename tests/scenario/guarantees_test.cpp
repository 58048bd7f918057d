// The supervisor's guarantees (design, section 6) on whole runs, judged by the simulated world and
// by what was on the wires.

#include <sqlite3.h>

#include <algorithm>

#include "catch.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using reports::RunEnd;

namespace {

const nlohmann::json kCapacity = {{{"do", "rest"}, {"seconds", 20}},
                                  {{"do", "capacity"}, {"rate_It", 0.5}}};

/// The operator's stop at `at_s`.
std::function<bool(double)> stop_once(VirtualRun& run, double at_s) {
  return [&run, at_s, stopped = false](double time_s) mutable {
    if (time_s < at_s || stopped) return false;
    run.rig().request_stop(RunEnd::operator_stop, "stopped");
    return stopped = true;
  };
}

}  // namespace

TEST_CASE("a sound run ends done, off, and complete in the archive") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1);
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::done);
  CHECK(closing.load_confirmed_off);
  CHECK_FALSE(run.truth().input_on);
  CHECK_FALSE(run.truth().cell_below_floor);
  const auto record = record_of(folder.file("a.db"));
  CHECK(record.closing.end == RunEnd::done);
  REQUIRE(record.steps.size() == 2);
  CHECK(record.samples.size() > 1000);
  CHECK(std::all_of(record.samples.begin(), record.samples.end(),
                    [](const auto& s) { return s.commanded_a == 0.0 || s.step == 1; }));
}

TEST_CASE(
    "guarantee 1: the input goes on only inside a step, after a full fresh round of readings") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 2);
  run.run(kCapacity, folder.file("a.db"));
  const auto& sent = run.sent();
  const auto on =
      std::find_if(sent.begin(), sent.end(), [](const Sent& s) { return s.text == "INP ON"; });
  REQUIRE(on != sent.end());
  CHECK(on->time_s > 20.0);
  for (const char* reading : {"MEAS:VOLT? (@101)", "MEAS:VOLT? (@102)", "MEAS:VOLT? (@105)",
                              "MEAS:TEMP? (@120)", "MEAS:VOLT?", "MEAS:CURR?"}) {
    INFO(reading);
    CHECK(std::any_of(sent.begin(), on, [&](const Sent& s) {
      return s.text == reading && on->time_s - s.time_s < 1.0;
    }));
  }
  CHECK(std::count_if(sent.begin(), sent.end(), [](const Sent& s) { return s.text == "INP ON"; }) ==
        1);
}

TEST_CASE("guarantee 1: while the input is on the load hears of us often enough for its watchdog") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 12);
  const nlohmann::json steps = {
      {{"do", "peak-current"}, {"currents_A", {5}}, {"hold_s", 5}, {"at_charge", {0.9}}},
      {{"do", "capacity"}, {"current_A", 5}}};
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  double last_s = 0.0, longest_s = 0.0;
  bool on = false;
  for (const Sent& sent : run.sent()) {
    if (sent.line != "load") continue;
    if (on) longest_s = std::max(longest_s, sent.time_s - last_s);
    last_s = sent.time_s;
    if (sent.text == "INP ON") on = true;
    if (sent.text == "INP OFF") on = false;
  }
  CHECK(longest_s > 0.0);
  CHECK(longest_s < 10.0 / 4);  // a quarter of what the watchdog is set to
}

TEST_CASE("guarantee 3: silence, nonsense and an operator's stop switch off") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 4);
  SECTION("the meter falls silent") {
    run.meddle = [](double time_s, const std::string& line, const std::string&, std::string&) {
      return line != "meter" || time_s < 600.0;
    };
    CHECK(run.run(kCapacity, folder.file("a.db")).end == RunEnd::instrument);
    const auto off = std::find_if(run.sent().begin(), run.sent().end(), [](const Sent& s) {
      return s.time_s > 600.0 && s.text == "INP OFF";
    });
    REQUIRE(off != run.sent().end());
    CHECK(off->time_s < 607.0);  // the watch time and one exchange
  }
  SECTION("the load answers nonsense") {
    run.meddle = [](double time_s, const std::string& line, const std::string& asked,
                    std::string& answer) {
      if (line == "load" && time_s > 600.0 && asked == "MEAS:CURR?") answer = "9.9E37\n";
      return true;
    };
    const auto closing = run.run(kCapacity, folder.file("a.db"));
    CHECK(closing.end == RunEnd::instrument);
    CHECK_FALSE(
        closing
            .load_confirmed_off);  // current cannot be read back any more: the operator was alarmed
    CHECK_FALSE(run.alarms().empty());
  }
  SECTION("a single lost answer does not end the run") {
    bool lost = false;
    run.meddle = [&](double time_s, const std::string& line, const std::string&, std::string&) {
      if (line != "meter" || time_s < 600.0 || lost) return true;
      lost = true;
      return false;
    };
    CHECK(run.run(kCapacity, folder.file("a.db")).end == RunEnd::done);
    CHECK(lost);
  }
  SECTION("the operator stops") {
    run.meanwhile = stop_once(run, 600.0);
    const auto closing = run.run(kCapacity, folder.file("a.db"));
    CHECK(closing.end == RunEnd::operator_stop);
    CHECK(closing.load_confirmed_off);
  }
  CHECK_FALSE(run.truth().input_on);
  CHECK(record_of(folder.file("a.db")).samples.size() > 100);
}

TEST_CASE("guarantee 3: an operator's stop does not wait for an answer under way") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 12);
  const std::string silent = GENERATE(as<std::string>(), "load", "meter");
  INFO(silent);
  run.meddle = [&](double time_s, const std::string& line, const std::string&, std::string&) {
    return line != silent || time_s < 600.0 || time_s > 603.0;
  };
  std::size_t asked = 0;
  run.meanwhile = [&](double time_s) {
    const bool answer_is_under_way = time_s > 600.0 && run.sent().back().line == silent;
    if (asked != 0 || !answer_is_under_way) return false;
    asked = run.sent().size();
    run.rig().request_stop(RunEnd::operator_stop, "stopped");
    return true;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::operator_stop);
  CHECK(closing.load_confirmed_off);
  REQUIRE(asked != 0);
  const Sent& question = run.sent().at(asked - 1);
  const Sent& next = run.sent().at(asked);
  CHECK(next.text == "INP OFF");
  CHECK(next.time_s == question.time_s);
}

TEST_CASE(
    "guarantee 3: an input that does not switch off is tried again, with an alarm, until it does") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 5);
  run.meanwhile = stop_once(run, 600.0);
  int refused = 0;
  run.meddle = [&](double time_s, const std::string& line, const std::string& asked,
                   std::string& answer) {
    if (line == "load" && time_s > 600.0 && asked == "INP?" && refused < 3) {
      ++refused;
      answer = "1\n";
    }
    return true;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.load_confirmed_off);
  CHECK(run.alarms().size() == 3);
}

TEST_CASE("guarantee 3: an exception anywhere in a step switches off and is called a defect") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 13);
  run.meddle = [](double time_s, const std::string&, const std::string& asked, std::string&) {
    if (time_s > 600.0 && time_s < 601.5 && asked.rfind("MEAS", 0) == 0)
      throw std::logic_error("thrown on purpose");
    return true;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::defect);
  CHECK(closing.reason == "a defect of sagbench: thrown on purpose");
  CHECK(closing.load_confirmed_off);
  CHECK_FALSE(run.truth().input_on);
  CHECK(record_of(folder.file("a.db")).closing.end == RunEnd::defect);
}

TEST_CASE("guarantee 3: a lost archive stops the run") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 6);
  // Another program damages the archive under the run: writing fails, as it does on a full disk.
  run.meanwhile = [&, broken = false](double time_s) mutable {
    if (time_s < 600.0 || broken) return false;
    broken = true;
    sqlite3* vandal = nullptr;
    REQUIRE(sqlite3_open(folder.file("a.db").c_str(), &vandal) == SQLITE_OK);
    REQUIRE(sqlite3_exec(vandal, "DROP TABLE sample", nullptr, nullptr, nullptr) == SQLITE_OK);
    sqlite3_close(vandal);
    return true;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::safety);
  CHECK(closing.reason.rfind("the archive cannot be written", 0) == 0);
  CHECK_FALSE(run.truth().input_on);
}

TEST_CASE("guarantee 1: however an instrument fails, no reading gets older than 5 s before OFF") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 9);
  const std::string silent = GENERATE(as<std::string>(), "load", "meter");
  INFO(silent);
  double last_answer_s = 0.0;
  run.meddle = [&](double time_s, const std::string& line, const std::string& asked, std::string&) {
    if (line == silent && time_s > 600.0) return false;
    if (line == silent && asked.rfind("MEAS", 0) == 0) last_answer_s = time_s;
    return true;
  };
  CHECK(run.run(kCapacity, folder.file("a.db")).end == RunEnd::instrument);
  const auto off = std::find_if(run.sent().begin(), run.sent().end(), [](const Sent& s) {
    return s.time_s > 600.0 && s.text == "INP OFF";
  });
  REQUIRE(off != run.sent().end());
  CHECK(off->time_s - last_answer_s > 3.0);  // it was asked for again meanwhile
  CHECK(off->time_s - last_answer_s <= 5.0);
}

TEST_CASE("a current that fades after OFF is no load that does not obey") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 10);
  run.meanwhile = stop_once(run, 600.0);
  double off_s = -1.0;
  const double lasting_s = GENERATE(0.3, 3.0);
  run.meddle = [&](double time_s, const std::string&, const std::string& asked,
                   std::string& answer) {
    if (time_s > 600.0 && asked == "INP?" && off_s < 0.0) off_s = time_s;
    if (off_s > 0.0 && time_s < off_s + lasting_s && asked == "MEAS:CURR?") answer = "2.5\n";
    return true;
  };
  CHECK(run.run(kCapacity, folder.file("a.db")).load_confirmed_off);
  CHECK(run.alarms().empty() == (lasting_s < 0.5));
}

TEST_CASE("what the archive refused for a while is in it at the end, with the reason") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 11);
  const auto execute = [&](const char* sql) {
    sqlite3* other = nullptr;
    REQUIRE(sqlite3_open(folder.file("a.db").c_str(), &other) == SQLITE_OK);
    REQUIRE(sqlite3_exec(other, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
    sqlite3_close(other);
  };
  int stage = 0;
  run.meanwhile = [&](double time_s) {
    if (stage == 0 && time_s > 600.0) {
      execute("CREATE TRIGGER full BEFORE INSERT ON sample BEGIN SELECT RAISE(FAIL, 'full'); END");
      ++stage;
    } else if (stage == 1 && time_s > 600.0 && !run.truth().input_on) {
      execute("DROP TRIGGER full");
      ++stage;
    }
    return false;
  };
  const auto closing = run.run(kCapacity, folder.file("a.db"));
  CHECK(closing.end == RunEnd::safety);
  CHECK(closing.reason.find("lacks the end") == std::string::npos);
  const auto record = record_of(folder.file("a.db"));
  CHECK(record.closing.end == RunEnd::safety);
  CHECK(record.closing.load_confirmed_off);
  double longest_gap_s = 0.0;
  for (std::size_t i = 1; i < record.samples.size(); ++i)
    longest_gap_s =
        std::max(longest_gap_s, record.samples[i].time_s - record.samples[i - 1].time_s);
  CHECK(longest_gap_s < 3.0);
  CHECK(record.samples.back().time_s > 600.0);
}

TEST_CASE(
    "a weak cell ends the discharge before it takes harm, tapped or behind a protection board") {
  const TemporaryFolder folder;
  std::vector<drivers::virtual_bench::CellTrait> cells(4);
  cells[2].capacity_factor = 0.7;
  SECTION("tapped") {
    VirtualRun run(demo_pack(), demo_bench(4), 7, cells);
    CHECK(run.run(kCapacity, folder.file("a.db")).end == RunEnd::done);
    CHECK_FALSE(run.truth().cell_below_floor);
    CHECK(record_of(folder.file("a.db")).steps.back().end ==
          analysis::StepEnd::cell_end_of_discharge);
  }
  SECTION("behind a board, without taps") {
    auto pack = demo_pack();
    pack.protection_board = true;
    VirtualRun run(pack, demo_bench(0), 7, cells);
    const auto closing = run.run(kCapacity, folder.file("a.db"));
    CAPTURE(closing.reason);
    CHECK(closing.end == RunEnd::done);
    CHECK_FALSE(run.truth().cell_below_floor);
    CHECK(record_of(folder.file("a.db")).steps.back().end == analysis::StepEnd::protection_board);
  }
}

TEST_CASE("the same seed gives the same run") {
  const TemporaryFolder folder;
  const nlohmann::json steps = {
      {{"do", "peak-current"}, {"currents_A", {5, 10}}, {"hold_s", 2}, {"at_charge", {0.99}}}};
  VirtualRun one(demo_pack(), demo_bench(4), 8), two(demo_pack(), demo_bench(4), 8);
  one.run(steps, folder.file("one.db"));
  two.run(steps, folder.file("two.db"));
  REQUIRE(one.sent().size() == two.sent().size());
  for (std::size_t i = 0; i < one.sent().size(); ++i) {
    REQUIRE(one.sent()[i].time_s == two.sent()[i].time_s);
    REQUIRE(one.sent()[i].text == two.sent()[i].text);
  }
  const auto a = record_of(folder.file("one.db")), b = record_of(folder.file("two.db"));
  CHECK(a.id == b.id);
  REQUIRE(a.samples.size() == b.samples.size());
  for (std::size_t i = 0; i < a.samples.size(); ++i)
    REQUIRE(a.samples[i].voltage_v == b.samples[i].voltage_v);
}
