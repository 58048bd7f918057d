#include "drivers/virtual/virtual_bench.hpp"

#include "../virtual_time.hpp"
#include "catch.hpp"
#include "drivers/scpi_session.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;
using drivers::test::VirtualTime;

/// All bytes of a short run.
std::string transcript(std::uint64_t seed) {
  WorldSpec world = lfp_world();
  world.cells.clear();
  VirtualBench bench(world, load_spec(), meter_spec(), seed);
  std::string bytes = ask(bench.load(), "*IDN?;:CURR 5;:INP ON");
  for (Time now = 0s; now < 20s; now += 130ms) {
    bytes += ask(bench.load(), "MEAS:VOLT?;:MEAS:CURR?", now);
    bytes += ask(bench.meter(), "MEAS:VOLT? (@101:105);TEMP? (@106)", now);
  }
  return bytes;
}

}  // namespace

TEST_CASE("the same seed gives the same bytes, another seed others") {
  CHECK(transcript(11) == transcript(11));
  CHECK(transcript(11) != transcript(12));
}

TEST_CASE("what is asked of the meter does not change what the load answers") {
  VirtualBench quiet(lfp_world(), load_spec(), meter_spec(), 5);
  VirtualBench busy(lfp_world(), load_spec(), meter_spec(), 5);
  for (Time now = 0s; now < 5s; now += 1s) {
    ask(busy.meter(), "MEAS:VOLT? (@101:105)", now);
    CHECK(ask(quiet.load(), "MEAS:VOLT?", now) == ask(busy.load(), "MEAS:VOLT?", now));
  }
}

TEST_CASE("the bench finds what the flawless discharge says, within its class") {
  WorldSpec world = lfp_world();
  world.cells.clear();
  world.leads_ohm = 0.0;
  VirtualBench bench(world, load_spec(), meter_spec(), 21);
  ask(bench.load(), "CURR 2;:INP ON");
  Time now = 0s;
  while (bench.truth(now).pack_v > 10.0) now += 1s;
  const Truth truth = bench.truth(now);
  CHECK(truth.charge_removed_ah ==
        Approx(true_capacity_ah(world, 21, truth.current_a, 10.0, std::nullopt)).margin(0.002));
  ask(bench.load(), "INP OFF", now);
  bench.recharge(now);
  CHECK(bench.truth(now).charge_removed_ah == 0.0);
  CHECK(bench.truth(now).temperature_c == Approx(25.0));
}

TEST_CASE(
    "a session in virtual time gets its answers when they are ready, and none after a deadline") {
  VirtualTime time;
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 1);
  ScpiSession session(bench.meter_transport(time.clock), time.clock);
  REQUIRE(time.run(session.open()).has_value());
  CHECK(session.identity() == "SAGBENCH,VIRTUAL-METER,1,1");
  const auto reading = time.run(session.query("MEAS:VOLT? (@101)"));
  REQUIRE(reading.has_value());
  CHECK(reading->answered - reading->sent >= 8ms);
  CHECK(reading->answered - reading->sent < 10ms);

  const auto line = bench.load_transport(time.clock);
  std::string bytes;
  CHECK(time.run(line->write("*IDN?\n", 1s)).error().kind == ErrorKind::disconnected);
  REQUIRE(time.run(line->open(time.clock.now() + 1s)).has_value());
  REQUIRE(time.run(line->write("MEAS:VOLT?\n", time.clock.now() + 1s)).has_value());
  const auto early = time.run(line->read(bytes, time.clock.now() + 1ms));
  REQUIRE(early.has_error());
  CHECK(early.error().kind == ErrorKind::timeout);
  CHECK(bytes.empty());
  line->take_arrived(bytes);
  CHECK(bytes.empty());
  REQUIRE(time.run(line->read(bytes, time.clock.now() + 1s)).has_value());
  CHECK(bytes.back() == '\n');
  line->close();
  CHECK(time.run(line->read(bytes, time.clock.now() + 1s)).error().kind == ErrorKind::disconnected);
}

}  // namespace sagbench::drivers::virtual_bench::test
