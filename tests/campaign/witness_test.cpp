// The witness must speak up where something is wrong, and only there.

#include "catch.hpp"

#include "bench/run/instruments.hpp"
#include "witness.hpp"

using namespace sagbench;
using namespace sagbench::campaign;
using namespace std::chrono_literals;

namespace {

/// A load under the witness's eyes that a test switches by hand.
struct Watched {
  explicit Watched(const char* make = "scene seed=1 series=4 taps=0 meter=0")
      : scene(scene_from(make)),
        on(bench_and_pack(scene)),
        world(world_of(scene, {}), bench::load_of(on.bench), bench::meter_of(on.bench), 1),
        witness(scene, world) {}

  void say(const std::string& message, drivers::Time now, bool reached = true) {
    witness.message_sent(now, Line::load, message, reached);
    if (reached) world.load().receive(message + "\n", now);
  }
  void see(drivers::Time now) {
    say("MEAS:CURR?", now);
    witness.answer_delivered(now, Line::load, "MEAS:CURR?", "4\n", "4\n", now);
    say("MEAS:VOLT?", now);
    witness.answer_delivered(now, Line::load, "MEAS:VOLT?", "13\n", "13\n", now);
  }
  void switch_on(drivers::Time now) {
    say("SYST:WATC 10;:VOLT:PROT:LOW 8;:CURR 4", now);
    see(now);
    say("INP ON", now);
  }
  bool content() const { return witness.failures().empty(); }

  Scene scene;
  bench::BenchAndPack on;
  drivers::virtual_bench::VirtualBench world;
  Witness witness;
};

}  // namespace

TEST_CASE("a pack that is seen often enough and switched off is as it should be") {
  Watched bench;
  bench.switch_on(1s);
  for (drivers::Time now = 2s; now < 60s; now += 4s) bench.see(now);
  bench.say("INP OFF", 60s);
  bench.witness.ended(60s, true);
  bench.witness.look(200s);
  CHECK(bench.content());
}

TEST_CASE("a load whose supply failed after it was asked for its guards must be off soon") {
  for (const drivers::Time off : {drivers::Time(3s), drivers::Time(5s)}) {
    Watched bench;
    bench.say("SYST:WATC 10;:VOLT:PROT:LOW 8", 1s);
    bench.say("VOLT:PROT:LOW?", 1s);
    bench.witness.lost_supply(1s);
    bench.world.power_cycle_load(1s);
    bench.say("CURR 4", 1s);
    bench.see(1s);
    bench.say("INP ON", 1s);
    bench.see(2s);
    bench.witness.look(off - 1ms);
    bench.say("INP OFF", off);
    CHECK(bench.content() == (off < 4s));
  }
}

TEST_CASE("a load that is switched on without guards is wrong at once") {
  Watched bench;
  bench.witness.lost_supply(1s);
  bench.world.power_cycle_load(1s);
  bench.say("VOLT:PROT:LOW?", 2s);
  bench.say("CURR 4", 2s);
  bench.see(2s);
  bench.say("INP ON", 2s);
  CHECK_FALSE(bench.content());
}

TEST_CASE("a pack that nobody sees for longer than the watch time is wrong") {
  Watched bench;
  bench.switch_on(1s);
  bench.see(7s);
  CHECK_FALSE(bench.content());
}

TEST_CASE("an answer that was spoilt on its way is no sight of the pack") {
  Watched bench;
  bench.switch_on(1s);
  for (drivers::Time now = 2s; now < 9s; now += 2s)
    bench.witness.answer_delivered(now, Line::load, "MEAS:VOLT?", "13\n", "17\n", now);
  CHECK_FALSE(bench.content());
}

TEST_CASE("a load that is deaf may draw until its watchdog bites, and no longer") {
  Watched bench;
  bench.switch_on(1s);
  bench.say("INP OFF", 5s, false);
  bench.witness.look(12s);
  CHECK(bench.content());
  Watched unguarded("scene seed=1 series=4 taps=0 meter=0 dialect=scpi-1999");
  unguarded.switch_on(1s);
  unguarded.say("SYST:WATC 0", 1s);
  unguarded.say("INP OFF", 5s, false);
  unguarded.witness.look(30s);
  CHECK_FALSE(unguarded.content());
}

TEST_CASE("current that flows on is wrong unless the operator is told in time") {
  const bool told = GENERATE(false, true);
  Watched bench;
  bench.switch_on(1s);
  drivers::virtual_bench::Defects defects;
  defects.input_stuck = true;
  bench.world.set_defects(2s, defects);
  bench.say("INP OFF", 3s);
  if (told) bench.witness.alarmed(5s);
  bench.witness.look(30s);
  CHECK(bench.content() == told);
}

TEST_CASE("a load said to be off that draws is wrong, alarm or not") {
  Watched bench;
  bench.switch_on(1s);
  bench.witness.alarmed(2s);
  bench.witness.ended(3s, true);
  bench.witness.look(5s);
  CHECK_FALSE(bench.content());
}

TEST_CASE("an operator's stop has to be heeded within the watch time") {
  Watched bench;
  bench.switch_on(1s);
  bench.witness.stop_asked(2s);
  for (drivers::Time now = 2s; now < 9s; now += 1s) bench.see(now);
  CHECK_FALSE(bench.content());
}

TEST_CASE("switching on without the guards that the dialect has is wrong") {
  Watched bench;
  bench.see(1s);
  bench.say("CURR 4", 1s);
  bench.say("INP ON", 1s);
  CHECK_FALSE(bench.content());
}

TEST_CASE("a program that ends with the load unconfirmed and says nothing is wrong") {
  Watched bench;
  bench.witness.ended(3s, false);
  CHECK_FALSE(bench.content());
}
