#include "drivers/electronic_load.hpp"

#include <limits>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "result_printing.hpp"
#include "scripted_transport.hpp"
#include "virtual_time.hpp"

namespace sagbench::drivers::test {
namespace {

using namespace std::chrono_literals;
using Lines = std::vector<std::string>;

/// A load behind a scripted line: it keeps its input state and an error queue, and can be told to
/// misbehave.
struct Desk {
  VirtualTime time;
  std::shared_ptr<Script> script = std::make_shared<Script>();
  std::map<std::string, std::string> table = {{"*IDN?", "QBENCH,LOAD,0,1.0"},
                                              {"MEAS:VOLT?", "13.2"}};
  std::set<std::string> unknown;  // messages that it does not understand
  Lines errors;
  bool input_on = false;
  Time delay{0};  // of every answer
  ElectronicLoad load;

  explicit Desk(const Dialect& dialect = scpi_1999())
      : load(std::make_unique<ScriptedTransport>(script, time.clock), time.clock, dialect) {
    script->answer = [this](const std::string& line) { return answer(line); };
  }

  std::vector<Reply> answer(const std::string& line) {
    if (unknown.count(line) != 0) errors.emplace_back("-113,\"Undefined header\"");
    if (line == "INP ON" || line == "INP OFF") input_on = line == "INP ON";
    if (line == "*CLS") errors.clear();
    if (table.count(line) != 0) return {{table.at(line) + "\n", delay}};
    if (line == "INP?") return {{input_on ? "1\n" : "0\n", delay}};
    if (line != "SYST:ERR?") return {};
    std::string oldest = "0,\"No error\"\n";
    if (!errors.empty()) {
      oldest = errors.front() + "\n";
      errors.erase(errors.begin());
    }
    return {{oldest, delay}};
  }

  /// Opens, and forgets what was said.
  void open() {
    const Result<void> opened = time.run(load.open());
    REQUIRE(opened);
    script->heard.clear();
  }
};

}  // namespace

TEST_CASE(
    "opening a load switches its input off, even if it was left on with errors in its queue") {
  Desk desk;
  desk.input_on = true;
  desk.errors = {"-222,\"Data out of range\""};
  REQUIRE(desk.time.run(desk.load.open()));
  CHECK_FALSE(desk.input_on);
  CHECK(desk.script->heard ==
        Lines{"*IDN?", "INP OFF", "*CLS", "SYST:ERR?", "INP OFF", "SYST:ERR?"});
  CHECK(desk.load.identity() == "QBENCH,LOAD,0,1.0");
  CHECK_FALSE(desk.load.guards_itself());
}

TEST_CASE("a load that does not know how to switch off is not opened") {
  Desk desk;
  desk.unknown = {"INP OFF"};
  const auto opened = desk.time.run(desk.load.open());
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::instrument);
  CHECK(opened.error().message == "load script: \"INP OFF\" refused: -113,\"Undefined header\"");
}

TEST_CASE("protect programs the limits before anything is drawn and says what it could not do") {
  Desk desk;
  desk.open();
  const auto remarks = desk.time.run(desk.load.protect(12.5, 10.0, 5.0));
  REQUIRE(remarks);
  CHECK(*remarks == Lines{"the load's over-current protection was set to 12.5 A; this dialect has "
                          "no words to read it back",
                          "the load has no low-voltage stop in this dialect",
                          "the load has no watchdog in this dialect"});
  CHECK(desk.script->heard ==
        Lines{"FUNC:MODE CURR", "SYST:ERR?", "CURR 0", "SYST:ERR?", "CURR:PROT 12.5", "SYST:ERR?"});
}

TEST_CASE("protect reads back what the dialect can ask for") {
  Dialect dialect = scpi_1999();
  dialect.current_protection_query = Operation{"CURR:PROT?"};
  dialect.low_voltage_stop = Operation{"VOLT:STOP {}"};
  dialect.low_voltage_stop_query = Operation{"VOLT:STOP?"};
  dialect.watchdog = Operation{"SYST:WATC {}"};
  Desk desk(dialect);
  desk.table["CURR:PROT?"] = "12.499";
  desk.table["VOLT:STOP?"] = "1.0E+1";
  desk.open();
  CHECK(desk.load.guards_itself());
  SECTION("and is content when it agrees") {
    const auto remarks = desk.time.run(desk.load.protect(12.5, 10.0, 5.0));
    REQUIRE(remarks);
    CHECK(*remarks ==
          Lines{"the load's watchdog was set to 5 s; this dialect has no words to read it back"});
    CHECK(desk.script->heard.back() == "SYST:ERR?");
  }
  SECTION("and refuses when it does not") {
    desk.table["VOLT:STOP?"] = "0";
    const auto remarks = desk.time.run(desk.load.protect(12.5, 10.0, 5.0));
    REQUIRE_FALSE(remarks);
    CHECK(remarks.error().kind == ErrorKind::instrument);
    CHECK(remarks.error().message ==
          "load script: low-voltage stop was set to 10 V but \"VOLT:STOP?\" answers 0");
  }
  SECTION("and refuses when the load does") {
    desk.unknown = {"SYST:WATC 5"};
    const auto remarks = desk.time.run(desk.load.protect(12.5, 10.0, 5.0));
    REQUIRE_FALSE(remarks);
    CHECK(remarks.error().message ==
          "load script: \"SYST:WATC 5\" refused: -113,\"Undefined header\"");
  }
  SECTION("and refuses limits that are none") {
    CHECK(desk.time.run(desk.load.protect(0.0, 10.0, 5.0)).error().kind == ErrorKind::caller);
    CHECK(desk.time.run(desk.load.protect(12.5, -1.0, 5.0)).error().kind == ErrorKind::caller);
  }
}

TEST_CASE("currents are written in full and without an exponent") {
  Desk desk;
  desk.open();
  for (const double current_a : {1.2, 0.0, 20.0, 0.0315, 1.0 / 3.0}) {
    REQUIRE(desk.time.run(desk.load.set_current(current_a)));
  }
  CHECK(desk.script->heard == Lines{"CURR 1.2", "SYST:ERR?", "CURR 0", "SYST:ERR?", "CURR 20",
                                    "SYST:ERR?", "CURR 0.0315", "SYST:ERR?",
                                    "CURR 0.3333333333333333", "SYST:ERR?"});
}

TEST_CASE("a current that is none is not sent") {
  Desk desk;
  desk.open();
  const double current_a = GENERATE(-0.001, std::numeric_limits<double>::infinity(),
                                    std::numeric_limits<double>::quiet_NaN());
  const auto set = desk.time.run(desk.load.set_current(current_a));
  REQUIRE_FALSE(set);
  CHECK(set.error().kind == ErrorKind::caller);
  CHECK(desk.script->heard.empty());
}

TEST_CASE("input_off says OFF first and alone, then asks") {
  Desk desk;
  desk.open();
  REQUIRE(desk.time.run(desk.load.input_on()));
  REQUIRE(desk.input_on);
  desk.script->heard.clear();
  SECTION("in step") {
    const auto off = desk.time.run(desk.load.input_off());
    REQUIRE(off);
    CHECK(*off);
    CHECK(desk.script->heard == Lines{"INP OFF", "INP?"});
  }
  SECTION("out of step: at once, before any draining") {
    desk.table.erase("MEAS:VOLT?");
    REQUIRE_FALSE(desk.time.run(desk.load.voltage()));
    const Time before = desk.time.clock.now();
    const auto off = desk.time.run(desk.load.input_off());
    REQUIRE(off);
    CHECK(*off);
    CHECK(desk.script->heard == Lines{"MEAS:VOLT?", "INP OFF", "*IDN?", "INP?"});
    CHECK(desk.script->heard_at[desk.script->heard_at.size() - 3] == before);
  }
  SECTION("after the line was cut unnoticed: on a new line, OFF first") {
    desk.script->cuts_line = true;  // the first OFF is still taken, its query is not
    const auto off = desk.time.run(desk.load.input_off());
    REQUIRE(off);
    CHECK(*off);
    CHECK(desk.script->heard == Lines{"INP OFF", "INP?", "INP OFF", "*IDN?", "INP?"});
  }
  SECTION("after close") {
    desk.load.close();
    const auto off = desk.time.run(desk.load.input_off());
    REQUIRE(off);
    CHECK(*off);
    CHECK(desk.script->heard == Lines{"INP OFF", "*IDN?", "INP?"});
  }
  SECTION("a load that stays on is reported as on") {
    desk.table["INP?"] = "ON";
    const auto off = desk.time.run(desk.load.input_off());
    REQUIRE(off);
    CHECK_FALSE(*off);
  }
  SECTION("a load that is gone is an error") {
    desk.load.close();
    desk.script->refuses_open = true;
    const auto off = desk.time.run(desk.load.input_off());
    REQUIRE_FALSE(off);
    CHECK(off.error().kind == ErrorKind::disconnected);
  }
}

TEST_CASE("the input state is one of four words") {
  Desk desk;
  desk.open();
  for (const auto& [answer, is_on] : std::map<std::string, bool>{
           {"1", true}, {"ON", true}, {"on", true}, {"0", false}, {"OFF", false}, {"Off", false}}) {
    desk.table["INP?"] = answer;
    const auto input = desk.time.run(desk.load.input_is_on());
    REQUIRE(input);
    CHECK(*input == is_on);
  }
  desk.table["INP?"] = "2";
  const auto senseless = desk.time.run(desk.load.input_is_on());
  REQUIRE_FALSE(senseless);
  CHECK(senseless.error().kind == ErrorKind::protocol);
  CHECK(senseless.error().message == "load script: \"INP?\" answered \"2\", neither on nor off");
}

TEST_CASE("a reading carries the times of its exchange") {
  Desk desk;
  desk.open();
  desk.delay = 40ms;
  const Time before = desk.time.clock.now();
  const auto voltage = desk.time.run(desk.load.voltage());
  REQUIRE(voltage);
  CHECK(voltage->value == 13.2);
  CHECK(voltage->middle() == before + 20ms);
}

TEST_CASE("an answer that is no number is reported, and the next reading is right again") {
  Desk desk;
  desk.open();
  desk.table["MEAS:CURR?"] = "5.0 A";
  const auto current = desk.time.run(desk.load.current());
  REQUIRE_FALSE(current);
  CHECK(current.error().kind == ErrorKind::protocol);
  CHECK(current.error().message ==
        "load script: the answer to \"MEAS:CURR?\", \"5.0 A\" is not a number");
  desk.table["MEAS:CURR?"] = "5.0";
  const auto again = desk.time.run(desk.load.current());
  REQUIRE(again);
  CHECK(again->value == 5.0);
}

}  // namespace sagbench::drivers::test
