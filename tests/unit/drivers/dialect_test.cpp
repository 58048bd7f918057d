#include "drivers/dialect.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <limits>
#include <string>

#include "catch.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {
namespace {

/// A folder that holds one dialect file and goes away with the test.
struct Folder {
  std::filesystem::path path;

  explicit Folder(const std::string& text) {
    path = std::filesystem::temp_directory_path() /
           ("sagbench_dialect_test_" + std::to_string(::getpid()));
    std::filesystem::create_directories(path);
    std::ofstream(file()) << text;
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  std::string file() const { return (path / "load.json").string(); }
  Result<Dialect> load() const { return load_dialect("load.json", path.string()); }
};

std::string with(const std::string& entries) {
  return R"({"schema": "sagbench/dialect/1", "name": "mine")" + entries + "}";
}

/// The message without the file it must begin with.
std::string complaint(const std::string& text) {
  const Folder folder(text);
  const Result<Dialect> dialect = folder.load();
  REQUIRE_FALSE(dialect);
  CHECK(dialect.error().kind == ErrorKind::caller);
  CHECK(dialect.error().message.find('\n') == std::string::npos);
  const std::string prefix = folder.file() + ": ";
  REQUIRE(dialect.error().message.starts_with(prefix));
  return dialect.error().message.substr(prefix.size());
}

}  // namespace

TEST_CASE("the built-in dialect knows no words beyond the standard's") {
  const auto dialect = load_dialect("scpi-1999", "/nowhere");
  REQUIRE(dialect);
  CHECK(dialect->name == "scpi-1999");
  CHECK(dialect->set_current.send == "CURR {}");
  CHECK_FALSE(dialect->low_voltage_stop);
  CHECK_FALSE(dialect->watchdog);
  CHECK_FALSE(dialect->current_protection_query);
  CHECK_FALSE(dialect->list);
}

TEST_CASE("a built-in dialect's name may say in what it differs") {
  const auto output = load_dialect("scpi-1999-output", "/nowhere");
  REQUIRE(output);
  CHECK(output->name == "scpi-1999-output");
  CHECK(output->input_off.send == "OUTP OFF");
  CHECK_FALSE(output->watchdog);
  const auto several = load_dialect("scpi-1999-list-output-guarded", "/nowhere");
  REQUIRE(several);
  CHECK(several->list);
  CHECK(several->input_on.send == "OUTP ON");
  CHECK(several->watchdog->send == "SYST:WATC {}");
  for (const char* const unknown : {"scpi-1999-", "scpi-1999-out", "scpi-1999output", "scpi"}) {
    CHECK_FALSE(built_in_dialect(unknown));
  }
  for (const DialectVariant& variant : dialect_variants()) {
    CAPTURE(variant.word);
    const auto one = built_in_dialect("scpi-1999-" + std::string(variant.word));
    REQUIRE(one);
    Dialect renamed = *one;
    renamed.name = "scpi-1999";
    CHECK_FALSE(renamed == scpi_1999());
  }
}

TEST_CASE("a dialect file changes the words it names and no others") {
  const Folder folder(with(R"(, "input_on": "OUTP 1", "input_off": "OUTP 0",
                              "watchdog": "SYST:WATC {}", "current_protection_query": "CURR:PROT?")"));
  const auto dialect = folder.load();
  REQUIRE(dialect);
  CHECK(dialect->name == "mine");
  CHECK(dialect->input_on.send == "OUTP 1");
  CHECK(dialect->watchdog == Operation{"SYST:WATC {}"});
  CHECK(dialect->current_protection_query == Operation{"CURR:PROT?"});
  CHECK(dialect->measure_voltage.send == "MEAS:VOLT?");
  CHECK(load_dialect(folder.file(), "/nowhere"));  // a full path needs no folder
}

TEST_CASE("an operation carries its limits, its times and the form of its answer") {
  const auto dialect = parse_dialect(with(R"(,
    "set_current": {"send": "CURR {}", "min": 0.01, "max": 30, "decimals": 3, "settle_s": 0.05},
    "input_query": {"send": "LOAD?", "answer": "text", "on": "RUN", "off": "STOP"},
    "measure_both": {"send": "MEAS?", "answer": "numbers", "first": "voltage", "takes_s": 0.2},
    "current_protection": null,
    "list": {"max_points": 8, "shortest_dwell_s": 0.02, "count": null}
    )"),
                                     "mine.json");
  REQUIRE(dialect);
  CHECK(dialect->set_current.min == 0.01);
  CHECK(dialect->set_current.max == 30.0);
  CHECK(dialect->set_current.decimals == 3);
  CHECK(dialect->set_current.settle_s == 0.05);
  CHECK(dialect->input_query.on == "RUN");
  CHECK(dialect->input_query.off == "STOP");
  CHECK(dialect->measure_both->first == Quantity::voltage);
  CHECK(dialect->measure_both->takes_s == 0.2);
  CHECK_FALSE(dialect->current_protection);
  CHECK(dialect->list->max_points == 8);
  CHECK(dialect->list->shortest_dwell_s == 0.02);
  CHECK_FALSE(dialect->list->count);
  CHECK(dialect->list->trigger.send == "INIT");
}

TEST_CASE("a dialect that was written is read back as the same") {
  Dialect dialect = *built_in_dialect("scpi-1999-output-compound-guarded-sense-list-opc-scan");
  dialect.name = "made by hand: 100 \"%\"";
  const auto comes_back = [&] {
    const auto read = parse_dialect(to_json(dialect), "written.json");
    REQUIRE(read);
    CHECK(*read == dialect);
  };
  comes_back();
  dialect.set_current = {"CURR {}", 0.001, 30.1, 4, 0.1, 0.25};
  dialect.input_query.on = "RUN";
  dialect.input_query.off = "STOP";
  dialect.measure_both->first = Quantity::voltage;
  dialect.measure_both->takes_s = 1.0 / 3.0;
  dialect.current_mode.reset();
  dialect.current_protection.reset();
  dialect.measure_voltage_channel.reset();
  dialect.list->max_points = 7;
  dialect.list->longest_dwell_s = 12.5;
  dialect.list->count.reset();
  dialect.list->dwells.min = 0.001;
  comes_back();
  dialect = scpi_1999();
  comes_back();
}

TEST_CASE("what a state answers, and what a list may hold, is told where it is wrong") {
  const auto ends = [](const std::string& entries, const std::string& accepted) {
    CHECK(complaint(with(entries)).ends_with("is not accepted; it must be " + accepted));
  };
  ends(R"(, "input_query": {"send": "INP?", "answer": "number"})", R"("boolean" or "text")");
  ends(R"(, "input_query": {"send": "INP?", "on": "ON", "off": "OFF", "answer": "boolean"})",
       R"("text" where "on" and "off" are given)");
  CHECK(complaint(with(R"(, "input_query": {"send": "INP?", "answer": "text"})"))
            .ends_with("is missing; it must be given: the text answered when on"));
  ends(R"(, "input_query": {"send": "INP?", "answer": "text", "on": "\n", "off": "OFF"})",
       "a text of plain ASCII on one line, not empty");
  ends(R"(, "list": 5)", R"(an object {"max_points": ...})");
  CHECK(complaint(std::string((1 << 20) + 1, ' ')) ==
        "larger than 1 MiB; a small JSON file is expected");
}

TEST_CASE("faults in a dialect file are named with file, key, value and what is accepted") {
  CHECK(complaint(with(R"(, "input_of": "INP OFF")"))
            .starts_with(R"(unknown key "input_of"; accepted here: schema, name, error_query,)"));
  CHECK(complaint(with(R"(, "watchdog": 5)")) ==
        R"("watchdog": 5 is not accepted; it must be a text or an object {"send": ...})");
  CHECK(complaint(with(R"(, "input_on": null)")) ==
        R"("input_on": null is not accepted; it must be a text or an object {"send": ...})");
  CHECK(
      complaint(with(R"(, "set_current": "CURR")")) ==
      R"("set_current": "CURR" is not accepted; it must be a setting (without a ?) in plain ASCII)"
      R"( on one line, with one {} for the number)");
  const std::string one_gap = "one {} for the ";
  CHECK(complaint(with(R"(, "set_current": "CURR {},{}")")).ends_with(one_gap + "number"));
  CHECK(complaint(with(R"(, "measure_voltage_channel": "MEAS:VOLT?")"))
            .ends_with(one_gap + "channel"));
  CHECK(complaint(with(R"(, "scan_voltages": "MEAS:VOLT?")")).ends_with(one_gap + "channels"));
  CHECK(complaint(with(R"(, "input_off": "INP {}")")).ends_with("with no {}"));
  for (const char* const words :
       {"\"\"", "\"  \"", "\"INP?\"", "\"*CLS\\nINP OFF\"", "\"\u00c4US\""}) {
    CHECK(complaint(with(std::string(R"(, "input_off": )") + words))
              .ends_with(
                  "it must be a setting (without a ?) in plain ASCII on one line, with no {}"));
  }
  CHECK(complaint(with(R"(, "input_query": "INP")")) ==
        R"("input_query": "INP" is not accepted; it must be a query (with a ?) in plain ASCII on )"
        R"(one line, with no {})");
  CHECK(complaint(R"({"name": "mine"})") ==
        R"("schema" is missing; it must be "sagbench/dialect/1")");
  CHECK(complaint(R"({"schema": "sagbench/dialect/2", "name": "mine"})") ==
        R"("schema": "sagbench/dialect/2" is not accepted; it must be "sagbench/dialect/1")");
  CHECK(complaint(R"({"schema": "sagbench/dialect/1"})") ==
        R"("name" is missing; it must be a text)");
  CHECK(complaint("[]") == "must hold one JSON object {...}");
  CHECK(complaint(with(R"(, "clear": "*CLS", "clear": "*CLS")")) ==
        R"(key "clear" is given twice; give it once)");
}

TEST_CASE("faults inside an operation are named by its path") {
  const auto complaint_on = [](const std::string& operation) {
    return complaint(with(", " + operation));
  };
  CHECK(complaint_on(R"("clear": {"settle_s": 1})")
            .starts_with(R"("clear.send" is missing; it must be a setting)"));
  CHECK(complaint_on(R"("clear": {"send": "*CLS", "max": 1})") ==
        R"(unknown key "clear.max"; accepted here: send, settle_s, takes_s)");
  CHECK(complaint_on(R"("set_current": {"send": "CURR {}", "min": 2, "max": 1})") ==
        R"("set_current.min": 2 is not accepted; it must be at most "max", 1)");
  CHECK(complaint_on(R"("set_current": {"send": "CURR {}", "decimals": 1.5})") ==
        R"("set_current.decimals": 1.5 is not accepted; it must be a whole number from 0 to 9)");
  CHECK(complaint_on(R"("set_current": {"send": "CURR {}", "settle_s": -1})") ==
        R"("set_current.settle_s": -1 is not accepted; it must be a number from 0 to 60)");
  CHECK(complaint_on(R"("measure_voltage": {"send": "MEAS:VOLT?", "answer": "text"})") ==
        R"("measure_voltage.answer": "text" is not accepted; it must be "number")");
  CHECK(complaint_on(R"("input_query": {"send": "INP?", "answer": "text", "on": "RUN"})") ==
        R"("input_query.off" is missing; it must be given: the text answered when off)");
  CHECK(
      complaint_on(R"("input_query": {"send": "INP?", "answer": "text", "on": "A", "off": "a"})") ==
      R"("input_query.off": "a" is not accepted; it must be another text than "on")");
  CHECK(complaint_on(R"("measure_both": "MEAS:CURR?;VOLT?")")
            .ends_with(R"(it must be an object {"send": ..., "first": ...})"));
  CHECK(complaint_on(R"("measure_both": {"send": "MEAS:CURR?;VOLT?"})")
            .starts_with(R"("measure_both.first" is missing; it must be "current" or "voltage")"));
  CHECK(complaint_on(R"("list": {"max_points": 0})") ==
        R"("list.max_points": 0 is not accepted; it must be a whole number from 1 to 100000)");
  CHECK(complaint_on(R"("list": {"shortest_dwell_s": 10, "longest_dwell_s": 1})") ==
        R"("list.shortest_dwell_s": 10 is not accepted; it must be at most "longest_dwell_s", 1)");
  CHECK(complaint_on(R"("list": {"trigger": null})")
            .starts_with(R"("list.trigger": null is not accepted)"));
}

TEST_CASE("no operation but one may hold the words that switch the input on") {
  CHECK(complaint(with(R"(, "input_off": "inp on ")")) ==
        R"("input_off": "inp on " is not accepted; it must be other words than "input_on")");
  CHECK(complaint(with(R"(, "set_current": "CURR {}; :INP ON")")) ==
        R"("set_current": "CURR {}; :INP ON" is not accepted; it must be without the words of )"
        R"("input_on")");
  CHECK(complaint(with(R"(, "list": {"trigger": "INP ON;:INIT"})"))
            .ends_with(R"(it must be without the words of "input_on" in "trigger")"));
}

TEST_CASE("a dialect file that is not JSON is reported by line and column") {
  CHECK(complaint("") == "not JSON from line 1, column 1 on");
  CHECK(complaint("{\n  \"schema\": ,\n}") == "not JSON from line 2, column 13 on");
}

TEST_CASE("a dialect that is not there is reported with what was looked for") {
  const auto dialect = load_dialect("absent.json", "/nowhere");
  REQUIRE_FALSE(dialect);
  CHECK(dialect.error().kind == ErrorKind::caller);
  CHECK(dialect.error().message ==
        R"(dialect "absent.json": neither "scpi-1999", behind which -output -compound -guarded )"
        R"(-sense -list -opc -scan may stand, nor a file that can be read ()" +
            (std::filesystem::path("/nowhere") / "absent.json").string() + ")");
}

TEST_CASE("a dialect on a disk that fails is none that can be read") {
  const auto dialect = load_dialect("/proc/self/mem", "/nowhere");  // opens, and fails when read
  REQUIRE_FALSE(dialect);
  CHECK(dialect.error().kind == ErrorKind::caller);
  CHECK(dialect.error().message.ends_with("nor a file that can be read (/proc/self/mem)"));
}

TEST_CASE("a number fills the gap of a word") {
  CHECK(filled("CURR {}", "1.2") == "CURR 1.2");
  CHECK(filled("MEAS:VOLT? (@{})", "101") == "MEAS:VOLT? (@101)");
  CHECK(filled("INP OFF", "1") == "INP OFF");
}

TEST_CASE("a number is written with the decimals an instrument takes, and judged as written") {
  Operation current{"CURR {}", 0.0, 30.0, 2};
  CHECK(number_for(current, 1.0 / 3.0) == "0.33");
  CHECK(number_for(current, 12.0) == "12");
  CHECK(takes(current, 30.004));  // is sent as 30
  CHECK_FALSE(takes(current, 30.006));
  CHECK_FALSE(takes(current, -0.01));
  CHECK(limits_in_words(current) == "from 0 to 30");
  current.min.reset();
  CHECK(limits_in_words(current) == "at most 30");
  CHECK(takes(current, -5.0));
  CHECK_FALSE(takes(Operation{"CURR {}"}, std::numeric_limits<double>::quiet_NaN()));
}

}  // namespace sagbench::drivers::test
