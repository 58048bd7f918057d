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

constexpr Guards kGuards{12.5, 150.0, 10.0, 5.0};

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
  Time delay{0};     // of every answer ...
  std::string slow;  // ... or, where it is given, of this message's alone
  ElectronicLoad load;

  explicit Desk(const Dialect& dialect = scpi_1999())
      : load(std::make_unique<ScriptedTransport>(script, time.clock), time.clock, dialect) {
    script->answer = [this](const std::string& line) { return answer(line); };
  }

  std::vector<Reply> answer(const std::string& line) {
    const Time later = slow.empty() || slow == line ? delay : Time{0};
    if (unknown.count(line) != 0) errors.emplace_back("-113,\"Undefined header\"");
    if (line == "INP ON" || line == "INP OFF") input_on = line == "INP ON";
    if (line == "*CLS") errors.clear();
    if (table.count(line) != 0) return {{table.at(line) + "\n", later}};
    if (line == "INP?") return {{input_on ? "1\n" : "0\n", later}};
    if (line != "SYST:ERR?") return {};
    std::string oldest = "0,\"No error\"\n";
    if (!errors.empty()) {
      oldest = errors.front() + "\n";
      errors.erase(errors.begin());
    }
    return {{oldest, later}};
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
  CHECK(opened.error().message ==
        "load script: \"INP OFF\" refused: -113,\"Undefined header\"; it answers *IDN? with "
        "\"QBENCH,LOAD,0,1.0\": is it a load, and does the dialect \"scpi-1999\" fit it?");
}

TEST_CASE("protect programs the limits before anything is drawn and says what it could not do") {
  Desk desk;
  desk.open();
  const auto remarks = desk.time.run(desk.load.protect(kGuards));
  REQUIRE(remarks);
  CHECK(*remarks == Lines{"The load's over-current protection was set to 12.5 A; this dialect has "
                          "no words to read it back.",
                          "The load has no over-power protection in this dialect.",
                          "The load has no low-voltage stop in this dialect.",
                          "The load has no watchdog in this dialect."});
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
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE(remarks);
    CHECK(*remarks ==
          Lines{"The load has no over-power protection in this dialect.",
                "The load's watchdog was set to 5 s; this dialect has no words to read it back."});
    CHECK(desk.script->heard.back() == "SYST:ERR?");
  }
  SECTION("and refuses when it does not") {
    desk.table["VOLT:STOP?"] = "0";
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE_FALSE(remarks);
    CHECK(remarks.error().kind == ErrorKind::instrument);
    CHECK(remarks.error().message ==
          "load script: low-voltage stop was set to 10 V but \"VOLT:STOP?\" answers 0");
  }
  SECTION("and refuses when the load does") {
    desk.unknown = {"SYST:WATC 5"};
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE_FALSE(remarks);
    CHECK(remarks.error().message ==
          "load script: \"SYST:WATC 5\" refused: -113,\"Undefined header\"");
  }
  SECTION("and refuses limits that are none") {
    CHECK(desk.time.run(desk.load.protect({0.0, 150.0, 10.0, 5.0})).error().kind ==
          ErrorKind::caller);
    CHECK(desk.time.run(desk.load.protect({12.5, 150.0, -1.0, 5.0})).error().kind ==
          ErrorKind::caller);
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

TEST_CASE("every guard of a dialect is set and read back") {
  Desk desk(*built_in_dialect("scpi-1999-guarded-list"));
  desk.table["CURR:PROT?"] = "12.5";
  desk.table["POW:PROT?"] = "150";
  desk.table["VOLT:PROT:LOW?"] = "10";
  desk.table["SYST:WATC?"] = "5";
  desk.open();
  SECTION("without a remark when all agree") {
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE(remarks);
    CHECK(remarks->empty());
    Lines settings;
    for (const std::string& line : desk.script->heard)
      if (line != "SYST:ERR?") settings.push_back(line);
    CHECK(settings == Lines{"FUNC:MODE CURR", "CURR 0", "CURR:MODE FIX", "CURR:PROT 12.5",
                            "CURR:PROT?", "POW:PROT 150", "POW:PROT?", "VOLT:PROT:LOW 10",
                            "VOLT:PROT:LOW?", "SYST:WATC 5", "SYST:WATC?"});
  }
  SECTION("and asked for again later, when the load may have lost its supply") {
    const auto lost = [&desk] {
      const auto answer = desk.time.run(desk.load.lost_guard());
      REQUIRE(answer);
      return *answer;
    };
    CHECK(lost().empty());  // nothing was promised yet
    REQUIRE(desk.time.run(desk.load.protect(kGuards)));
    CHECK(lost().empty());
    desk.table["CURR:PROT?"] = "12.6";
    CHECK(lost().empty());
    desk.table["SYST:WATC?"] = "0";
    CHECK(lost() ==
          "load script: its watchdog is no longer 5 s but 0 s: did it lose its supply for a "
          "moment?");
    desk.table["CURR:PROT?"] = "30";
    CHECK(lost().find("over-current protection is no longer 12.5 A but 30 A") != std::string::npos);
    desk.table["CURR:PROT?"] = "no number";
    CHECK(desk.time.run(desk.load.lost_guard()).error().kind == ErrorKind::protocol);
  }
  SECTION("and a watchdog that is another is an error") {
    desk.table["SYST:WATC?"] = "60";
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE_FALSE(remarks);
    CHECK(remarks.error().message ==
          "load script: watchdog was set to 5 s but \"SYST:WATC?\" answers 60");
  }
}

TEST_CASE("guards keep within what the dialect takes") {
  Dialect dialect = *built_in_dialect("scpi-1999-guarded");
  dialect.watchdog->max = 3.0;
  dialect.watchdog_query.reset();
  dialect.low_voltage_stop_query.reset();
  dialect.current_protection_query.reset();
  dialect.power_protection.reset();
  SECTION("a watchdog waits as long as it may") {
    Desk desk(dialect);
    desk.open();
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE(remarks);
    CHECK(remarks->back() ==
          "The load's watchdog was set to 3 s; this dialect has no words to read it back.");
  }
  SECTION("a stop that would come too early or too late is refused unsent") {
    dialect.low_voltage_stop->min = 12.0;
    Desk desk(dialect);
    desk.open();
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE_FALSE(remarks);
    CHECK(remarks.error().kind == ErrorKind::caller);
    CHECK(remarks.error().message ==
          "load script: a low-voltage stop of 10 V: the dialect takes at least 12");
    CHECK(desk.script->heard.back() == "SYST:ERR?");
  }
}

TEST_CASE("a load without a mode or an over-current protection is protected as far as it goes") {
  Dialect dialect = scpi_1999();
  dialect.current_mode.reset();
  dialect.current_protection.reset();
  Desk desk(dialect);
  desk.open();
  const auto remarks = desk.time.run(desk.load.protect(kGuards));
  REQUIRE(remarks);
  CHECK(remarks->front() == "The load has no over-current protection in this dialect.");
  CHECK(desk.script->heard == Lines{"CURR 0", "SYST:ERR?"});
}

TEST_CASE("a current outside what the dialect takes is refused before anything is sent") {
  Dialect dialect = scpi_1999();
  dialect.set_current = {"CURR {}", 0.0, 30.0, 2};
  Desk desk(dialect);
  desk.open();
  const auto refused = desk.time.run(desk.load.set_current(30.01));
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == ErrorKind::caller);
  CHECK(refused.error().message ==
        "load script: a current of 30.01 A: the dialect's set_current takes from 0 to 30");
  CHECK(desk.script->heard.empty());
  REQUIRE(desk.time.run(desk.load.set_current(1.0 / 3.0)));
  CHECK(desk.script->heard.front() == "CURR 0.33");
}

TEST_CASE("settling is told, not waited for, and never holds OFF") {
  Dialect dialect = scpi_1999();
  dialect.set_current.settle_s = 0.25;
  dialect.input_off.settle_s = 5.0;
  Desk desk(dialect);
  desk.open();
  const auto set = desk.time.run(desk.load.set_current(5.0));
  REQUIRE(set);
  CHECK(desk.time.clock.now() == set->answered);
  CHECK(desk.load.settled_at() == set->answered + 250ms);
  const Time before = desk.time.clock.now();
  REQUIRE(desk.time.run(desk.load.input_off()));
  CHECK(desk.time.clock.now() == before);
}

TEST_CASE("a setting that takes time is done when the load says so") {
  Dialect dialect = *built_in_dialect("scpi-1999-opc");
  dialect.set_current.settle_s = 0.1;
  Desk desk(dialect);
  desk.table["*OPC?"] = "1";
  desk.open();
  SECTION("and no earlier") {
    desk.delay = 300ms;
    const auto set = desk.time.run(desk.load.set_current(5.0));
    REQUIRE(set);
    CHECK(desk.script->heard == Lines{"CURR 5", "SYST:ERR?", "*OPC?"});
    CHECK(desk.load.settled_at() == desk.time.clock.now() + 100ms);
  }
  SECTION("though it may take longer than other answers") {
    desk.delay = 1500ms;  // takes_s of this dialect is 1 s, beside the second any answer may take
    desk.slow = "*OPC?";
    CHECK(desk.time.run(desk.load.set_current(5.0)));
  }
  SECTION("and anything else than done is an error") {
    desk.table["*OPC?"] = "0";
    const auto set = desk.time.run(desk.load.set_current(5.0));
    REQUIRE_FALSE(set);
    CHECK(set.error().message ==
          "load script: \"*OPC?\" answered \"0\" where only 1 has a meaning");
  }
}

TEST_CASE("remote sense is switched when a load is opened, and read back") {
  Dialect dialect = *built_in_dialect("scpi-1999-sense");
  SECTION("on") {
    Desk desk(dialect);
    desk.load.use_remote_sense(true);
    desk.table["SYST:RSEN?"] = "1";
    REQUIRE(desk.time.run(desk.load.open()));
    CHECK(Lines(desk.script->heard.end() - 3, desk.script->heard.end()) ==
          Lines{"SYST:RSEN ON", "SYST:ERR?", "SYST:RSEN?"});
  }
  SECTION("off, but it stays on") {
    Desk desk(dialect);
    desk.load.use_remote_sense(false);
    desk.table["SYST:RSEN?"] = "1";
    const auto opened = desk.time.run(desk.load.open());
    REQUIRE_FALSE(opened);
    CHECK(opened.error().kind == ErrorKind::instrument);
    CHECK(opened.error().message ==
          "load script: \"SYST:RSEN OFF\" was sent but \"SYST:RSEN?\" answers that remote sense is "
          "on");
  }
  SECTION("without words to ask: a remark") {
    dialect.remote_sense_query.reset();
    Desk desk(dialect);
    desk.load.use_remote_sense(true);
    desk.open();
    const auto remarks = desk.time.run(desk.load.protect(kGuards));
    REQUIRE(remarks);
    CHECK(remarks->front() ==
          "The load's remote sense was switched on; this dialect has no words to read it back.");
  }
  SECTION("not asked for: left alone") {
    Desk desk(dialect);
    REQUIRE(desk.time.run(desk.load.open()));
    CHECK(desk.script->heard.back() == "SYST:ERR?");
  }
}

TEST_CASE("states may be answered in the dialect's own words") {
  Dialect dialect = scpi_1999();
  dialect.input_query.on = "RUN";
  dialect.input_query.off = "STOP";
  Desk desk(dialect);
  desk.open();
  for (const auto& [answer, is_on] :
       std::map<std::string, bool>{{"RUN", true}, {"Stop", false}, {"1", true}, {"OFF", false}}) {
    desk.table["INP?"] = answer;
    const auto input = desk.time.run(desk.load.input_is_on());
    REQUIRE(input);
    CHECK(*input == is_on);
  }
  desk.table["INP?"] = "HALT";
  CHECK_FALSE(desk.time.run(desk.load.input_is_on()));
}

TEST_CASE("current and voltage come in one exchange where the dialect has it") {
  Dialect dialect = *built_in_dialect("scpi-1999-compound");
  SECTION("current first") {
    Desk desk(dialect);
    desk.table["MEAS:CURR?;VOLT?"] = "+5.0E+00;+1.32E+01";
    desk.open();
    desk.delay = 40ms;
    const auto both = desk.time.run(desk.load.measure());
    REQUIRE(both);
    CHECK(desk.load.measures_both());
    CHECK(both->current.value == 5.0);
    CHECK(both->voltage.value == 13.2);
    CHECK(both->current.middle() == both->voltage.middle());
    CHECK(desk.script->heard == Lines{"MEAS:CURR?;VOLT?"});
  }
  SECTION("voltage first, where it says so") {
    dialect.measure_both = Operation{"MEAS?"};
    dialect.measure_both->first = Quantity::voltage;
    Desk desk(dialect);
    desk.table["MEAS?"] = "13.2,5.0";
    desk.open();
    const auto both = desk.time.run(desk.load.measure());
    REQUIRE(both);
    CHECK(both->current.value == 5.0);
    CHECK(both->voltage.value == 13.2);
  }
  SECTION("one of them missing or over range is an error") {
    Desk desk(dialect);
    desk.table["MEAS:CURR?;VOLT?"] =
        GENERATE("5.0", "5.0;9.9E37", "5.0;13.2;1", "5.0;", "5.0;9.91E37");
    desk.open();
    const auto both = desk.time.run(desk.load.measure());
    REQUIRE_FALSE(both);
    CHECK(both.error().kind == ErrorKind::protocol);
  }
}

TEST_CASE("without it they come in two, current first") {
  Desk desk;
  desk.table["MEAS:CURR?"] = "5.0";
  desk.open();
  desk.delay = 40ms;
  const auto both = desk.time.run(desk.load.measure());
  REQUIRE(both);
  CHECK_FALSE(desk.load.measures_both());
  CHECK(both->current.value == 5.0);
  CHECK(both->voltage.value == 13.2);
  CHECK(both->voltage.sent == both->current.answered);
  CHECK(both->answered() - both->sent() == 80ms);
  CHECK(desk.script->heard == Lines{"MEAS:CURR?", "MEAS:VOLT?"});
}

TEST_CASE("a list is loaded, entered and triggered, and the queue is read after each message") {
  Dialect dialect = *built_in_dialect("scpi-1999-list");
  dialect.list->currents.decimals = 2;
  Desk desk(dialect);
  desk.open();
  REQUIRE(desk.time.run(desk.load.set_list({{20.004, 0.5}, {2.0, 0.125}}, 3)));
  REQUIRE(desk.time.run(desk.load.start_list()));
  REQUIRE(desk.time.run(desk.load.stop_list()));
  CHECK(desk.script->heard == Lines{"LIST:CURR 20,2", "SYST:ERR?", "LIST:DWEL 0.5,0.125",
                                    "SYST:ERR?", "LIST:COUN 3", "SYST:ERR?", "CURR:MODE LIST",
                                    "SYST:ERR?", "INIT", "SYST:ERR?", "CURR:MODE FIX",
                                    "SYST:ERR?"});
}

TEST_CASE("a list the load refuses is not triggered") {
  Desk desk(*built_in_dialect("scpi-1999-list"));
  desk.open();
  desk.unknown = {"LIST:DWEL 0.5"};
  const auto set = desk.time.run(desk.load.set_list({{20.0, 0.5}}));
  REQUIRE_FALSE(set);
  CHECK(set.error().kind == ErrorKind::instrument);
  CHECK(desk.script->heard.size() >= 4);
  for (const std::string& line : desk.script->heard) CHECK(line != "CURR:MODE LIST");
}

TEST_CASE("a list outside what the dialect takes is refused before anything is sent") {
  Dialect dialect = *built_in_dialect("scpi-1999-list");
  dialect.set_current.max = 30.0;
  dialect.list->max_points = 2;
  dialect.list->shortest_dwell_s = 0.01;
  dialect.list->longest_dwell_s = 10.0;
  dialect.list->count->max = 100.0;
  Desk desk(dialect);
  desk.open();
  const auto refusal = [&desk](const std::vector<ListPoint>& points, int times) {
    const auto set = desk.time.run(desk.load.set_list(points, times));
    REQUIRE_FALSE(set);
    CHECK(set.error().kind == ErrorKind::caller);
    return set.error().message;
  };
  CHECK(refusal({}, 1) == "load script: a list of 0 points: the dialect takes 1 to 2");
  CHECK(refusal({{1, 1}, {1, 1}, {1, 1}}, 1)
            .ends_with("a list of 3 points: the dialect takes 1 to 2"));
  CHECK(refusal({{1, 1}}, 0).ends_with("a list played 0 times: the dialect takes at most 100"));
  CHECK(refusal({{1, 1}}, 101).ends_with("a list played 101 times: the dialect takes at most 100"));
  CHECK(
      refusal({{31, 1}}, 1).ends_with("a current of 31 A in a list: the dialect takes at most 30"));
  CHECK(refusal({{-1, 1}}, 1).ends_with("a current of -1 A in a list: it must be zero or more"));
  CHECK(refusal({{1, 0.001}}, 1).ends_with("0.001 s in a list: the dialect takes 0.01 to 10 s"));
  CHECK(refusal({{1, 11}}, 1).ends_with("11 s in a list: the dialect takes 0.01 to 10 s"));
  CHECK(desk.script->heard.empty());
}

TEST_CASE("a tripped protection is among what the load complains of") {
  Dialect dialect = *built_in_dialect("scpi-1999-guarded");
  Desk desk(dialect);
  desk.table["INP:PROT:TRIP?"] = "0";
  desk.open();
  CHECK(*desk.time.run(desk.load.complaints()) == "");
  CHECK_FALSE(*desk.time.run(desk.load.protection_tripped()));
  desk.table["INP:PROT:TRIP?"] = "1";
  CHECK(*desk.time.run(desk.load.protection_tripped()));
  CHECK(*desk.time.run(desk.load.complaints()) == "a tripped protection");
  desk.errors = {"101,\"Over-current\""};
  CHECK(*desk.time.run(desk.load.complaints()) == "101,\"Over-current\"; a tripped protection");
  Desk plain;
  plain.open();
  CHECK_FALSE(*plain.time.run(plain.load.protection_tripped()));
  CHECK(plain.script->heard.empty());
}

}  // namespace sagbench::drivers::test
