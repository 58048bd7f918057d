// Meters, with and without a scanner, are probed.

#include <string>

#include "drivers/probe/dialect_probe.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "probed.hpp"
#include "virtual/worlds.hpp"

using namespace sagbench::drivers;
using namespace sagbench::drivers::test;

TEST_CASE("The virtual meter is a meter, with channels that can be scanned") {
  using namespace virtual_bench;
  VirtualTime time;
  VirtualBench bench(virtual_bench::test::lfp_world(), virtual_bench::test::load_spec(),
                     virtual_bench::test::meter_spec(), 1);
  const auto found = time.run(
      probe_dialect(bench.meter_transport(time.clock), time.clock, [](std::string_view) {}));
  REQUIRE(found);
  CHECK(found->kind == InstrumentClass::meter);
  CHECK(found->is_enough());
  CHECK(found->dialect.measure_voltage.send == "MEAS:VOLT?");
  CHECK(found->dialect.measure_voltage_channel->send == "MEAS:VOLT? (@{})");
  CHECK(found->dialect.measure_temperature_channel->send == "MEAS:TEMP? (@{})");
  CHECK(found->dialect.scan_voltages->send == "MEAS:VOLT? (@{})");
}

TEST_CASE("A plain voltmeter is a meter without channels") {
  WordedInstrument meter;
  meter.settings = {{"VOLT:NPLC", "1"}};
  meter.answers = {{"MEAS:VOLT:DC?", "+1.3203E+01"}};
  meter.takes = std::chrono::milliseconds(700);
  const Probed probed(meter);
  REQUIRE(probed.findings);
  CHECK(probed.findings->kind == InstrumentClass::meter);
  CHECK(probed.findings->is_enough());
  CHECK(probed.findings->dialect.measure_voltage.send == "MEAS:VOLT:DC?");
  // Twice the 0.7 s it took.
  CHECK(probed.findings->dialect.measure_voltage.takes_s == Approx(1.4).margin(0.11));
  CHECK_FALSE(probed.findings->dialect.measure_voltage_channel);
  CHECK_FALSE(probed.findings->dialect.scan_voltages);
  CHECK(probed.findings->dialect.integration_cycles->send == "VOLT:NPLC {}");
  CHECK(probed.says_unknown("channel"));
  require_harmless(probed);
}

TEST_CASE("A measurement that changes the integration time: it is brought back") {
  WordedInstrument meter;
  meter.settings = {{"SENS:VOLT:NPLC", "0.02"}, {"MEAS:COUNT", "0"}};
  meter.answers = {{"MEAS:VOLT?", "13.2"}};
  meter.when_asked = [](const std::string& line, WordedInstrument& self) {
    if (line.starts_with("MEAS:VOLT")) self.settings["SENS:VOLT:NPLC"] = "10";
  };
  const Probed probed(meter);
  REQUIRE(probed.findings);
  CHECK(probed.settings_sent().back() == "SENS:VOLT:NPLC 0.02");
  require_harmless(probed);
}

TEST_CASE("A meter whose integration time cannot be set is one all the same, which is said") {
  WordedInstrument meter;
  meter.answers = {{"MEAS:VOLT?", "13.2"}};
  const Probed probed(meter);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK_FALSE(probed.findings->dialect.integration_cycles);
  CHECK(probed.says_unknown("words for the integration time"));
  require_harmless(probed);
}
