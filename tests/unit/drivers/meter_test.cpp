#include "drivers/meter.hpp"

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "catch.hpp"
#include "result_printing.hpp"
#include "scripted_transport.hpp"
#include "virtual_time.hpp"

namespace sagbench::drivers::test {
namespace {

using Lines = std::vector<std::string>;

struct Desk {
  VirtualTime time;
  std::shared_ptr<Script> script = std::make_shared<Script>();
  Meter meter;

  std::map<std::string, std::string> table;

  explicit Desk(MeterChannels channels, const Dialect& dialect = scpi_1999(),
                std::optional<double> cycles = std::nullopt)
      : meter(std::make_unique<ScriptedTransport>(script, time.clock), time.clock, dialect,
              std::move(channels), {}, cycles) {
    script->answer = [this](const std::string& line) -> std::vector<Reply> {
      if (table.count(line) != 0) return {{table.at(line) + "\n"}};
      if (line == "*IDN?") return {{"QBENCH,METER,0,1.0\n"}};
      if (line == "SYST:ERR?") return {{"0,\"No error\"\n"}};
      if (line.starts_with("MEAS:VOLT?")) return {{"+3.31200E+00\n"}};
      if (line.starts_with("MEAS:TEMP?")) return {{"9.9E37\n"}};
      return {};
    };
  }

  Desk& open() {
    const Result<void> opened = time.run(meter.open());
    REQUIRE(opened);
    script->heard.clear();
    return *this;
  }
};

}  // namespace

TEST_CASE("a meter with a scanner is asked by channel") {
  Desk desk(MeterChannels{101, {102, 103}, 106});
  desk.open();
  CHECK(desk.meter.cell_count() == 2);
  CHECK(desk.meter.measures_temperature());
  CHECK(desk.time.run(desk.meter.pack_voltage())->value == 3.312);
  CHECK(desk.time.run(desk.meter.cell_voltage(0)));
  CHECK(desk.time.run(desk.meter.cell_voltage(1)));
  CHECK(desk.script->heard == Lines{"MEAS:VOLT? (@101)", "MEAS:VOLT? (@102)", "MEAS:VOLT? (@103)"});
}

TEST_CASE("a meter without channels is asked plainly") {
  Desk desk(MeterChannels{});
  desk.open();
  CHECK(desk.meter.cell_count() == 0);
  CHECK_FALSE(desk.meter.measures_temperature());
  CHECK(desk.time.run(desk.meter.pack_voltage()));
  CHECK(desk.script->heard == Lines{"MEAS:VOLT?"});
}

// SCPI-1999 Vol. 1, 7.2.1.4: 9.9E37 stands for infinity; meters answer it for over-range or an open
// sensor.
TEST_CASE("an open temperature sensor is an error, never a temperature") {
  Desk desk(MeterChannels{101, {}, 106});
  desk.open();
  const auto temperature = desk.time.run(desk.meter.temperature());
  REQUIRE_FALSE(temperature);
  CHECK(temperature.error().kind == ErrorKind::protocol);
  CHECK(temperature.error().message ==
        "meter script: the answer to \"MEAS:TEMP? (@106)\", \"9.9E37\" means \"over range\"");
}

// SCPI-1999 Vol. 1, 8.3.2: channels are scanned in the order of the list. Some scanners sort them.
TEST_CASE("a scan gives pack and cells in one exchange, whether the scanner sorts or not") {
  // The pack's channel is in the middle and the cells are wired the other way round.
  Desk desk(MeterChannels{103, {105, 104, 101}, 106}, *built_in_dialect("scpi-1999-scan"));
  desk.table["MEAS:VOLT? (@101,103,104,105)"] = "1.1,10.3,4.4,5.5";
  desk.open();
  REQUIRE(desk.meter.scans());
  const auto scan = desk.time.run(desk.meter.scan());
  REQUIRE(scan);
  CHECK(scan->pack_v == 10.3);
  CHECK(scan->cell_v == std::vector<double>{5.5, 4.4, 1.1});
  CHECK(desk.script->heard == Lines{"MEAS:VOLT? (@101,103,104,105)"});
}

TEST_CASE("one cell that is the pack is scanned once") {
  Desk desk(MeterChannels{101, {101}, {}}, *built_in_dialect("scpi-1999-scan"));
  desk.table["MEAS:VOLT? (@101)"] = "3.3";
  desk.open();
  const auto scan = desk.time.run(desk.meter.scan());
  REQUIRE(scan);
  CHECK(scan->pack_v == 3.3);
  CHECK(scan->cell_v == std::vector<double>{3.3});
}

TEST_CASE("a scan with a value over range, or with one too few or too many, is an error") {
  Desk desk(MeterChannels{101, {102, 103}, {}}, *built_in_dialect("scpi-1999-scan"));
  desk.table["MEAS:VOLT? (@101,102,103)"] =
      GENERATE("6.6,3.3,9.9E37", "6.6,9.91E37,3.3", "6.6,3.3", "6.6,3.3,3.3,3.3", "6.6,3.3,open");
  desk.open();
  const auto scan = desk.time.run(desk.meter.scan());
  REQUIRE_FALSE(scan);
  CHECK(scan.error().kind == ErrorKind::protocol);
}

TEST_CASE("there is no scan without words for it, or without cells") {
  CHECK_FALSE(Desk(MeterChannels{101, {102}, {}}).meter.scans());
  CHECK_FALSE(Desk(MeterChannels{101, {}, 106}, *built_in_dialect("scpi-1999-scan")).meter.scans());
  CHECK_FALSE(Desk(MeterChannels{}, *built_in_dialect("scpi-1999-scan")).meter.scans());
}

TEST_CASE("the integration time is set when a meter is opened, and read back") {
  Dialect dialect = *built_in_dialect("scpi-1999-scan");
  dialect.integration_cycles->max = 10.0;
  Desk desk(MeterChannels{}, dialect, 0.2);
  SECTION("and held") {
    desk.table["SENS:VOLT:NPLC?"] = "+2.0E-01";
    REQUIRE(desk.time.run(desk.meter.open()));
    CHECK(desk.script->heard.back() == "SENS:VOLT:NPLC?");
    CHECK(*(desk.script->heard.end() - 3) == "SENS:VOLT:NPLC 0.2");
  }
  SECTION("and not held") {
    desk.table["SENS:VOLT:NPLC?"] = "1";
    const auto opened = desk.time.run(desk.meter.open());
    REQUIRE_FALSE(opened);
    CHECK(opened.error().kind == ErrorKind::instrument);
    CHECK(opened.error().message ==
          "meter script: \"SENS:VOLT:NPLC 0.2\" was sent but \"SENS:VOLT:NPLC?\" answers 1");
  }
  SECTION("or refused unsent") {
    Desk slow(MeterChannels{}, dialect, 100.0);
    const auto opened = slow.time.run(slow.meter.open());
    REQUIRE_FALSE(opened);
    CHECK(opened.error().kind == ErrorKind::caller);
    CHECK(opened.error().message ==
          "meter script: an integration time of 100 mains cycles: the dialect takes at most 10");
    CHECK(slow.script->heard.back() == "*CLS");
  }
}

}  // namespace sagbench::drivers::test
