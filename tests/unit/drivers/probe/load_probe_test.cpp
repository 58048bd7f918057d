// Loads of several dialects, and the virtual load, are probed. Safety: no message may switch an
// input on, and all settings are at the end what they were.

#include <map>
#include <memory>
#include <string>

#include "drivers/probe/dialect_probe.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "probed.hpp"
#include "virtual/worlds.hpp"

using namespace sagbench::drivers;
using namespace sagbench::drivers::test;

namespace {

/// Notes all that is sent on another line.
class OverheardTransport final : public Transport {
 public:
  OverheardTransport(std::unique_ptr<Transport> line, std::string& heard)
      : line_(std::move(line)), heard_(heard) {}
  boost::asio::awaitable<Result<void>> open(Time deadline) override {
    return line_->open(deadline);
  }
  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) override {
    heard_ += bytes;
    return line_->write(bytes, deadline);
  }
  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override {
    return line_->read(into, deadline);
  }
  void take_arrived(std::string& into) override { line_->take_arrived(into); }
  void close() noexcept override { line_->close(); }
  const std::string& name() const noexcept override { return line_->name(); }

 private:
  std::unique_ptr<Transport> line_;
  std::string& heard_;
};

Result<ProbeFindings> probe(VirtualTime& time, std::unique_ptr<Transport> line) {
  return time.run(probe_dialect(std::move(line), time.clock, [](std::string_view) {}));
}

}  // namespace

TEST_CASE("A load with the words of the standard and guards is found out whole") {
  const Probed probed(guarded_load());
  REQUIRE(probed.findings);
  const ProbeFindings& found = *probed.findings;
  CHECK(found.kind == InstrumentClass::load);
  CHECK(found.is_enough());
  CHECK(found.identity == "QX0TEST,BENCH-LOAD,1,1");
  Dialect expected = *built_in_dialect("scpi-1999-compound-guarded-sense");
  expected.name = found.identity;
  expected.set_current.min = 0.0;
  expected.set_current.max = 40.0;
  expected.operation_complete = Operation{"*OPC?"};
  expected.measure_voltage_channel.reset();
  expected.measure_temperature_channel.reset();
  CHECK(to_json(found.dialect) == to_json(expected));
  require_harmless(probed);
}

TEST_CASE("What is found out is a dialect file that reads back equal") {
  const Probed probed(guarded_load());
  REQUIRE(probed.findings);
  const auto read = parse_dialect(to_json(probed.findings->dialect), "probed");
  REQUIRE(read);
  CHECK(*read == probed.findings->dialect);
}

TEST_CASE("A setting is sent back as it was answered, and nothing else is set") {
  const Probed probed(guarded_load());
  const std::vector<std::string> expected = {"SAGB:NONS",       "FUNC:MODE CURR", "CURR 1.5",
                                             "INP OFF",         "CURR:PROT 30",   "POW:PROT 300",
                                             "VOLT:PROT:LOW 0", "SYST:WATC 0",    "SYST:RSEN ON"};
  CHECK(probed.settings_sent() == expected);
}

TEST_CASE("The virtual load's dialect is that of the built-in one, and it stays as it was") {
  using namespace virtual_bench;
  VirtualTime time;
  VirtualBench bench(virtual_bench::test::lfp_world(), virtual_bench::test::load_spec(),
                     virtual_bench::test::meter_spec(), 1);
  const auto ask = [&](const char* message) {
    return virtual_bench::test::ask(bench.load(), message, time.clock.now());
  };
  ask("CURR 2.5;CURR:PROT 12");
  std::string heard;
  const auto found =
      probe(time, std::make_unique<OverheardTransport>(bench.load_transport(time.clock), heard));
  REQUIRE(found);
  CHECK(found->is_enough());
  CHECK(found->kind == InstrumentClass::load);
  const Dialect& dialect = found->dialect;
  CHECK(dialect.error_query.send == scpi_1999().error_query.send);
  CHECK(dialect.current_mode->send == scpi_1999().current_mode->send);
  CHECK(dialect.set_current.send == scpi_1999().set_current.send);
  CHECK(dialect.set_current.max == 30.0);  // of its specification
  CHECK(dialect.input_on.send == scpi_1999().input_on.send);
  CHECK(dialect.input_off.send == scpi_1999().input_off.send);
  CHECK(dialect.input_query.send == scpi_1999().input_query.send);
  CHECK(dialect.measure_voltage.send == scpi_1999().measure_voltage.send);
  CHECK(dialect.measure_current.send == scpi_1999().measure_current.send);
  CHECK(dialect.current_protection->send == scpi_1999().current_protection->send);
  CHECK(dialect.current_protection_query->send == "CURR:PROT?");
  for (std::size_t begin = 0; begin < heard.size();) {
    const std::size_t end = heard.find('\n', begin);
    const std::string line = heard.substr(begin, end - begin);
    CAPTURE(line);
    CHECK_FALSE(switches_on(line));
    begin = end + 1;
  }
  CHECK(std::stod(ask("CURR?")) == Approx(2.5));
  CHECK(std::stod(ask("CURR:PROT?")) == Approx(12.0));
  CHECK(ask("INP?") == "0\n");
  CHECK_FALSE(bench.truth(time.clock.now()).input_on);
}

TEST_CASE("A load whose input is called an output is one if it has a mode for currents") {
  WordedInstrument load = guarded_load();
  load.settings.erase("INP");
  load.settings["OUTP"] = "0";
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->kind == InstrumentClass::load);
  CHECK(probed.findings->dialect.input_off.send == "OUTP OFF");
  CHECK(probed.says_unknown("output"));
  require_harmless(probed);
}

TEST_CASE("A load with few words is enough, and what it lacks is listed") {
  WordedInstrument load;
  load.settings = {{"INP", "0"}, {"CURR", "0"}};
  load.answers = {{"MEAS:VOLT:DC?", "12.8"}, {"MEAS:CURR:DC?", "0"}};
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->is_enough());
  CHECK(probed.findings->dialect.measure_voltage.send == "MEAS:VOLT:DC?");
  CHECK_FALSE(probed.findings->dialect.current_mode);
  CHECK_FALSE(probed.findings->dialect.current_protection);
  CHECK_FALSE(probed.findings->dialect.low_voltage_stop);
  for (const char* word : {"mode", "over-current", "low-voltage", "watchdog", "remote", "list"}) {
    CAPTURE(word);
    CHECK(probed.says_unknown(word));
  }
  require_harmless(probed);
}

TEST_CASE("What a run cannot do without is listed where a load lacks it") {
  WordedInstrument load = guarded_load();
  load.settings.erase("INP");
  load.answers = {{"INP?", "0"}};  // it tells of its input, but does not let it be switched
  load.clears = false;
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->kind == InstrumentClass::load);
  CHECK_FALSE(probed.findings->is_enough());
  CHECK(probed.findings->lacking ==
        std::vector<std::string>{"words that switch the input off (\"INP OFF\" was refused)",
                                 "words to measure a voltage", "words to measure a current",
                                 "*CLS, which clears the error queue"});
  require_harmless(probed);
}

TEST_CASE("A load in another mode is left in it") {
  WordedInstrument load = guarded_load();
  load.settings["FUNC:MODE"] = "RES";
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK(probed.findings->dialect.current_mode->send == "FUNC:MODE CURR");
  CHECK(probed.says_unknown("RES"));
  CHECK_FALSE(probed.heard("FUNC:MODE CURR"));
  require_harmless(probed);
}

TEST_CASE("An input that is on is left alone, and nothing is set at all") {
  WordedInstrument load = guarded_load();
  load.settings["INP"] = "1";
  const Probed probed(load);
  REQUIRE_FALSE(probed.findings);
  CHECK(probed.findings.error().kind == ErrorKind::caller);
  CHECK(probed.findings.error().message.find("input is on") != std::string::npos);
  CHECK(probed.settings_sent() == std::vector<std::string>{"SAGB:NONS"});
  require_harmless(probed);
}

TEST_CASE("A guard with a switch of its own that is off is no guard") {
  WordedInstrument load = guarded_load();
  load.settings["VOLT:PROT:LOW:STAT"] = "0";
  load.settings["CURR:PROT:STAT"] = "1";
  const Probed probed(load);
  REQUIRE(probed.findings);
  CHECK_FALSE(probed.findings->dialect.low_voltage_stop);
  CHECK(probed.says_unknown("enable the low-voltage stop"));
  CHECK(probed.findings->dialect.current_protection);
}

TEST_CASE("Both readings at once are not taken from setpoints of the same name") {
  // This one looks VOLT? up at the root: it would answer its setpoint.
  WordedInstrument load = guarded_load();
  load.settings["VOLT"] = "13.2";
  const Probed relative(load);
  REQUIRE(relative.findings);
  CHECK_FALSE(relative.findings->dialect.measure_both);
  load.answers["MEAS:CURR?;:MEAS:VOLT?"] = "0.0001;13.204";
  const Probed absolute(load);
  REQUIRE(absolute.findings);
  CHECK(absolute.findings->dialect.measure_both->send == "MEAS:CURR?;:MEAS:VOLT?");
}

namespace {

WordedInstrument listing_load() {
  WordedInstrument load = guarded_load();
  load.settings["CURR:MODE"] = "FIX";
  load.settings["LIST:CURR"] = "1,2,3";
  load.settings["LIST:DWEL"] = "0.1,0.1,0.2";
  load.settings["LIST:COUN"] = "1";
  return load;
}

}  // namespace

TEST_CASE("Lists are found by reading them, and never started") {
  WordedInstrument load = listing_load();
  load.answers["LIST:CURR:POIN? MAX"] = "84";
  load.answers["LIST:DWEL? MIN"] = "0.0005";
  load.answers["LIST:DWEL? MAX"] = "3600";
  const Probed probed(load);
  REQUIRE(probed.findings);
  const auto& list = probed.findings->dialect.list;
  REQUIRE(list);
  CHECK(list->max_points == 84);
  CHECK(list->shortest_dwell_s == 0.0005);
  CHECK(list->longest_dwell_s == 3600.0);
  CHECK(probed.says_unknown("INIT"));
  CHECK_FALSE(probed.heard("INIT"));
  require_harmless(probed);
}

TEST_CASE("A list that may be longer than a dialect file can say has what the file can say") {
  WordedInstrument load = listing_load();
  load.answers["LIST:CURR:POIN? MAX"] = "4294967295";  // no int has room for it
  load.answers["LIST:DWEL? MIN"] = "1E-9";
  load.answers["LIST:DWEL? MAX"] = "1E6";
  const Probed probed(load);
  REQUIRE(probed.findings);
  const auto& list = probed.findings->dialect.list;
  REQUIRE(list);
  CHECK(list->max_points == CurrentList::kMostPoints);
  CHECK(list->shortest_dwell_s == CurrentList::kShortestDwell_s);
  CHECK(list->longest_dwell_s == CurrentList::kLongestDwell_s);
}
