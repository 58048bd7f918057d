#include "drivers/dialect.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
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
  CHECK(dialect->set_current == "CURR {}");
  CHECK_FALSE(dialect->low_voltage_stop);
  CHECK_FALSE(dialect->watchdog);
  CHECK_FALSE(dialect->current_protection_query);
}

TEST_CASE("a dialect file changes the words it names and no others") {
  const Folder folder(with(R"(, "input_on": "OUTP 1", "input_off": "OUTP 0",
                              "watchdog": "SYST:WATC {}", "current_protection_query": "CURR:PROT?")"));
  const auto dialect = folder.load();
  REQUIRE(dialect);
  CHECK(dialect->name == "mine");
  CHECK(dialect->input_on == "OUTP 1");
  CHECK(dialect->watchdog == "SYST:WATC {}");
  CHECK(dialect->current_protection_query == "CURR:PROT?");
  CHECK(dialect->measure_voltage == "MEAS:VOLT?");
  CHECK(load_dialect(folder.file(), "/nowhere"));  // a full path needs no folder
}

TEST_CASE("faults in a dialect file are named with file, key and what is accepted") {
  CHECK(complaint(with(R"(, "input_of": "INP OFF")"))
            .starts_with(R"(unknown key "input_of"; accepted: schema, name, error_query, clear,)"));
  CHECK(complaint(with(R"(, "watchdog": 5)")) == R"("watchdog" is number: must be a text)");
  CHECK(complaint(with(R"(, "watchdog": null)")) == R"("watchdog" is null: must be a text)");
  CHECK(complaint(with(R"(, "set_current": "CURR")")) ==
        R"("set_current" is "CURR": must hold one {} for the number)");
  CHECK(complaint(with(R"(, "set_current": "CURR {},{}")")) ==
        R"("set_current" is "CURR {},{}": must hold one {} for the number)");
  CHECK(complaint(with(R"(, "measure_voltage_channel": "MEAS:VOLT?")")) ==
        R"("measure_voltage_channel" is "MEAS:VOLT?": must hold one {} for the channel)");
  CHECK(complaint(with(R"(, "input_off": "INP {}")")) == R"("input_off" is "INP {}": takes no {})");
  CHECK(complaint(with(R"(, "input_off": "")")) == R"("input_off" is "": must not be empty)");
  CHECK(complaint(with(R"(, "clear": "*CLS\nINP ON")")) ==
        R"("clear" is "*CLS\nINP ON": must be one line of plain ASCII)");
  CHECK(complaint(with(R"(, "input_query": "INP")")) ==
        R"("input_query" is "INP": must be a query, with a ?)");
  CHECK(complaint(with(R"(, "input_off": "INP?")")) ==
        R"("input_off" is "INP?": must be a setting, without a ?)");
  CHECK(complaint(with(R"(, "input_off": "INP ON")")) ==
        R"("input_on" and "input_off" must differ)");
  CHECK(complaint(R"({"name": "mine"})") == R"("schema" must be "sagbench/dialect/1")");
  CHECK(complaint(R"({"schema": "sagbench/dialect/1"})") == R"("name" is missing: must be a text)");
  CHECK(complaint("[]") == "must hold one JSON object");
}

TEST_CASE("a dialect file that is not JSON is reported by line and column") {
  CHECK(complaint("") == "not JSON from line 1, column 1 on");
  CHECK(complaint("{\n  \"schema\": ,\n}") == "not JSON from line 2, column 13 on");
}

TEST_CASE("a dialect that is not there is reported with what was looked for") {
  const auto dialect = load_dialect("absent.json", "/nowhere");
  REQUIRE_FALSE(dialect);
  CHECK(dialect.error().kind == ErrorKind::caller);
  CHECK(
      dialect.error().message ==
      R"(dialect "absent.json": neither "scpi-1999" nor a file that can be read (/nowhere/absent.json))");
}

TEST_CASE("a number fills the gap of a word") {
  CHECK(filled("CURR {}", "1.2") == "CURR 1.2");
  CHECK(filled("MEAS:VOLT? (@{})", "101") == "MEAS:VOLT? (@101)");
  CHECK(filled("INP OFF", "1") == "INP OFF");
}

}  // namespace sagbench::drivers::test
