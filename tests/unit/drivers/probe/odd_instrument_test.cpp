// Instruments with bad habits, and what is no instrument for a bench.

#include <string>

#include "probed.hpp"

using namespace sagbench::drivers;
using namespace sagbench::drivers::test;

TEST_CASE("A power supply is no load, and nothing of it is switched") {
  WordedInstrument supply;
  supply.settings = {{"OUTP", "0"}, {"VOLT", "13.8"}, {"CURR", "5"}};
  supply.answers = {{"MEAS:CURR?", "0"}, {"MEAS:VOLT?", "13.8"}};
  const Probed probed(supply);
  REQUIRE(probed.findings);
  CHECK(probed.findings->kind == InstrumentClass::neither);
  CHECK_FALSE(probed.findings->is_enough());
  CHECK_FALSE(probed.heard("OUTP OFF"));
  require_harmless(probed);
}

TEST_CASE("An instrument of another kind is neither") {
  WordedInstrument generator;
  generator.settings = {{"FREQ", "1000"}, {"OUTP", "0"}};
  const Probed probed(generator);
  REQUIRE(probed.findings);
  CHECK(probed.findings->kind == InstrumentClass::neither);
}

TEST_CASE("Without an error queue the event register tells of errors") {
  // IEEE 488.2, 11.5.1: mandatory, cleared by reading; bit 5 is a command error.
  WordedInstrument load = guarded_load();
  load.error_query.clear();
  load.event_register = true;
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK(probed.findings->dialect.error_query.send == "*ESR?");
  CHECK(probed.findings->dialect.low_voltage_stop);
  require_harmless(probed);
}

TEST_CASE("Without any word for errors a run is not possible, which is said") {
  WordedInstrument load = guarded_load();
  load.error_query.clear();
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->kind == InstrumentClass::load);
  CHECK_FALSE(probed.findings->is_enough());
  REQUIRE(probed.findings->lacking.size() == 1);
  CHECK(probed.findings->lacking.front().find("errors") != std::string::npos);
  require_harmless(probed);
}

TEST_CASE("An error queue that never holds anything proves nothing, which is said") {
  WordedInstrument load = guarded_load();
  load.reports_errors = false;
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK(probed.says_unknown("nonsense"));
  CHECK_FALSE(probed.findings->dialect.list);
  require_harmless(probed);
}

TEST_CASE("One that is dumb for a while after what it does not know is found out all the same") {
  WordedInstrument load = guarded_load();
  load.mute_after_unknown = std::chrono::milliseconds(300);
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK(probed.findings->dialect.measure_both);
  CHECK(probed.findings->dialect.low_voltage_stop);
  require_harmless(probed);
}

TEST_CASE("A complaint instead of silence is no answer") {
  WordedInstrument load = guarded_load();
  load.complaint = "ERROR: unknown command";
  load.settings.erase("VOLT:PROT:LOW");
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK_FALSE(probed.findings->dialect.low_voltage_stop);
  CHECK_FALSE(probed.findings->dialect.list);
  require_harmless(probed);
}

TEST_CASE("Slow readings are waited for, and the dialect says that they are slow") {
  WordedInstrument load = guarded_load();
  load.takes = std::chrono::milliseconds(1500);
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->dialect.measure_voltage.send == "MEAS:VOLT?");
  CHECK(probed.findings->dialect.measure_voltage.takes_s == Approx(3.0).margin(0.11));
  require_harmless(probed);
}

TEST_CASE("A setting that another one disturbs is brought back") {
  WordedInstrument load = guarded_load();
  load.when_set = [](const std::string& header, WordedInstrument& self) {
    if (header == "VOLT:PROT:LOW") self.settings["CURR"] = "0";
  };
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.instrument.settings.at("CURR") == "1.5");
  require_harmless(probed);
}

TEST_CASE("A setting that does not come back is named, with both values") {
  WordedInstrument load = guarded_load();
  load.when_set = [](const std::string& header, WordedInstrument& self) {
    if (header == "CURR") self.settings["CURR"] = "0";
  };
  const Probed probed(load);
  REQUIRE_FALSE(probed.findings);
  CHECK(probed.findings.error().kind == ErrorKind::instrument);
  for (const char* word : {"CURR?", "1.5", "\"0\""}) {
    CAPTURE(word);
    CHECK(probed.findings.error().message.find(word) != std::string::npos);
  }
}

TEST_CASE("Nobody answers: one error, and nothing but the question was sent") {
  WordedInstrument nobody;
  nobody.mute_until = Time::max();
  const Probed probed(nobody);
  REQUIRE_FALSE(probed.findings);
  CHECK(probed.findings.error().kind == ErrorKind::timeout);
  for (const std::string& line : probed.script->heard) {
    CAPTURE(line);
    CHECK((line.empty() || line == "\r" || line.find("*IDN?") == 0));
  }
}

TEST_CASE("One that dies on the way is an error that says after what") {
  WordedInstrument load = guarded_load();
  load.when_set = [](const std::string& header, WordedInstrument& self) {
    if (header == "POW:PROT") self.mute_until = Time::max();
  };
  const Probed probed(load);
  REQUIRE_FALSE(probed.findings);
  INFO(probed.findings.error().message);
  CHECK(probed.findings.error().message.find("POW:PROT 300") != std::string::npos);
}

TEST_CASE("Settings that cannot be asked for are known by what they lack, and nothing is set") {
  // SCPI-1999 Vol. 2, 21.8.9: -109, missing parameter.
  WordedInstrument load;
  load.settings = {{"INP", "0"}};
  load.answers = {{"MEAS:VOLT?", "12.8"}, {"MEAS:CURR?", "0"}};
  load.needs_a_value = {"CURR", "CURR:PROT", "FUNC:MODE", "VOLT:PROT:LOW"};
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK(probed.findings->dialect.set_current.send == "CURR {}");
  CHECK(probed.findings->dialect.current_mode->send == "FUNC:MODE CURR");
  CHECK(probed.findings->dialect.current_protection->send == "CURR:PROT {}");
  CHECK_FALSE(probed.findings->dialect.current_protection_query);
  // With it a run may be left alone, so it must be one that can be read back.
  CHECK_FALSE(probed.findings->dialect.low_voltage_stop);
  CHECK(probed.says_unknown("low-voltage stop"));
  require_harmless(probed);
}
