#include "drivers/meter.hpp"

#include <memory>
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

  explicit Desk(MeterChannels channels)
      : meter(std::make_unique<ScriptedTransport>(script, time.clock), time.clock, scpi_1999(),
              std::move(channels)) {
    script->answer = [](const std::string& line) -> std::vector<Reply> {
      if (line == "*IDN?") return {{"QBENCH,METER,0,1.0\n"}};
      if (line.starts_with("MEAS:VOLT?")) return {{"+3.31200E+00\n"}};
      if (line.starts_with("MEAS:TEMP?")) return {{"9.9E37\n"}};
      return {};
    };
    const Result<void> opened = time.run(meter.open());
    REQUIRE(opened);
    script->heard.clear();
  }
};

}  // namespace

TEST_CASE("a meter with a scanner is asked by channel") {
  Desk desk(MeterChannels{101, {102, 103}, 106});
  CHECK(desk.meter.cell_count() == 2);
  CHECK(desk.meter.measures_temperature());
  CHECK(desk.time.run(desk.meter.pack_voltage())->value == 3.312);
  CHECK(desk.time.run(desk.meter.cell_voltage(0)));
  CHECK(desk.time.run(desk.meter.cell_voltage(1)));
  CHECK(desk.script->heard == Lines{"MEAS:VOLT? (@101)", "MEAS:VOLT? (@102)", "MEAS:VOLT? (@103)"});
}

TEST_CASE("a meter without channels is asked plainly") {
  Desk desk(MeterChannels{});
  CHECK(desk.meter.cell_count() == 0);
  CHECK_FALSE(desk.meter.measures_temperature());
  CHECK(desk.time.run(desk.meter.pack_voltage()));
  CHECK(desk.script->heard == Lines{"MEAS:VOLT?"});
}

// SCPI-1999 Vol. 1, 7.2.1.4: 9.9E37 stands for infinity; meters answer it for over-range or an open
// sensor.
TEST_CASE("an open temperature sensor is an error, never a temperature") {
  Desk desk(MeterChannels{101, {}, 106});
  const auto temperature = desk.time.run(desk.meter.temperature());
  REQUIRE_FALSE(temperature);
  CHECK(temperature.error().kind == ErrorKind::protocol);
  CHECK(temperature.error().message ==
        "meter script: the answer to \"MEAS:TEMP? (@106)\", \"9.9E37\" means \"over range\"");
}

}  // namespace sagbench::drivers::test
