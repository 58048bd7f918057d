// What the campaign found, each shrunk to the least that showed it.

#include "catch.hpp"
#include "shrink.hpp"
#include "trial.hpp"
#include "workers.hpp"

using namespace sagbench;
using namespace sagbench::campaign;

namespace {

/// Passes the campaign's judgement; returns the first program's ending.
std::string judged(const std::string& scene, const std::string& faults) {
  const Folder folder;
  Disk disk;
  const Report report = run_trial(scene_from(scene), faults_from(faults), disk, folder.path());
  INFO(scene << " | " << faults);
  for (const std::string& failure : report.failures) FAIL_CHECK(failure);
  return ending_of(report.programs.front());
}

}  // namespace

TEST_CASE("a world without faults runs to its end, whatever its make") {
  for (const char* make :
       {"chemistry=LFP series=4", "chemistry=NMC series=4 board=1", "chemistry=NiMH series=8",
        "chemistry=AGM series=6 taps=0 meter=0", "chemistry=LFP series=1 taps=1 dialect=scpi-1999"})
    CHECK(judged(std::string("scene seed=1 ") + make, "none") == "done");
}

TEST_CASE("find: an echo that comes once does not end the run") {
  CHECK(judged("scene seed=3004 chemistry=NMC series=2 taps=0 meter=0 plan=whole",
               "echo line=load at=480") == "done");
}

TEST_CASE("find: a voltage that still falls after switch-on is no bad contact") {
  CHECK(judged("scene seed=52 chemistry=NiMH series=8 taps=0 thermometer=0 "
               "dialect=scpi-1999-compound plan=capacity",
               "none") == "done");
}

TEST_CASE("find: a load that lost its supply at rest is not switched on without its guards") {
  CHECK(judged("scene seed=1089 chemistry=NiMH series=10 taps=0 meter=0 plan=peaks",
               "power_cycle line=load at=4") == "instrument");
}

TEST_CASE("find: a load that lost its supply in a discharge is no open protection board") {
  CHECK(judged("scene seed=2006 chemistry=NMC series=4 taps=0 meter=0 plan=capacity",
               "power_cycle line=load n=1233") == "instrument");
}

TEST_CASE("find: a sense lead that comes off is no end of discharge, board or not") {
  CHECK(judged("scene seed=1208 chemistry=AGM series=3 taps=0 meter=0 board=1 plan=capacity",
               "sense_off line=load at=329 for=1000000") == "safety");
  CHECK(judged("scene seed=2780 chemistry=LFP series=4 taps=0 board=1 plan=whole",
               "sense_off line=load at=80 for=1") == "safety");
}

TEST_CASE("a discharge that a crash cut short goes on and gives the true capacity") {
  CHECK(judged("scene seed=2 chemistry=LFP series=4 plan=capacity", "crash at=60") == "died");
}

TEST_CASE("find: an input stuck over a crash is told to the operator at the next start") {
  CHECK(judged("scene seed=2194 chemistry=AGM series=6 taps=0 thermometer=0 plan=capacity",
               "stuck line=load at=53 for=1000000; crash line=meter n=920") == "died");
}

TEST_CASE("find: a voltage that stood still before it fell leaves its end in doubt since then") {
  CHECK(judged("scene seed=19237 chemistry=NiMH series=6 taps=0 meter=0 thermometer=0 "
               "plan=capacity",
               "frozen line=load at=99 for=18") == "done");
  CHECK(judged("scene seed=27419 chemistry=NMC series=4 taps=0 meter=0 thermometer=0 "
               "dialect=scpi-1999-compound plan=whole",
               "frozen line=load n=1418 for=26") == "done");
}

TEST_CASE("find: what a rest in a gap gave back is allowed for where the end was near") {
  CHECK(judged("scene seed=18778 chemistry=NiMH series=10 taps=10 "
               "dialect=scpi-1999-guarded-compound plan=whole",
               "crash line=load n=525") == "died");
}

TEST_CASE("find: cells that were read late, the line being lost, are not of that sample") {
  CHECK(judged("scene seed=23779 chemistry=NiMH series=8 taps=8 thermometer=0 plan=whole",
               "gone line=meter n=4230 for=3") == "done");
}

TEST_CASE("find: a board that opens between two readings of a sample is no end of discharge") {
  CHECK(judged("scene seed=25437 chemistry=NiMH series=9 taps=0 meter=0 thermometer=0 board=1 "
               "plan=whole",
               "board_trip line=load n=81") == "instrument");
}

TEST_CASE("find: a load that forgot its setpoint is no open protection board") {
  CHECK(judged("scene seed=14122 chemistry=NiMH series=9 taps=0 meter=0 thermometer=0 board=1 "
               "plan=whole",
               "power_cycle line=load n=81") == "instrument");
  // Without guards to read back it cannot be told, but no current at all gives no capacity.
  CHECK(judged("scene seed=14122 chemistry=NiMH series=9 taps=0 meter=0 thermometer=0 board=1 "
               "dialect=scpi-1999-compound plan=whole",
               "power_cycle line=load n=37") == "done");
}

TEST_CASE(
    "find: a load that loses its supply between the last look at its guards and ON is off soon") {
  CHECK(judged("scene seed=6105 chemistry=NiMH series=8 taps=0 thermometer=0 "
               "dialect=scpi-1999-guarded-list plan=whole",
               "power_cycle line=load n=1265") == "instrument");
  CHECK(judged("scene seed=13533 chemistry=NiMH series=4 taps=0 meter=0 thermometer=0 board=1 "
               "dialect=scpi-1999-guarded-compound plan=whole",
               "power_cycle line=load n=1186") == "instrument");
}

TEST_CASE("find: a step whose time is over while a list still plays loads no other") {
  CHECK(judged("scene seed=1302 chemistry=AGM series=3 taps=0 thermometer=0 "
               "dialect=scpi-1999-compound-guarded-list plan=whole",
               "none") == "done");
}

TEST_CASE("find: current that flows with the input off at the start is an alarm, no refusal") {
  CHECK(judged("scene seed=12810 chemistry=AGM series=6 taps=0 meter=0 thermometer=0 "
               "plan=capacity",
               "crash line=load at=338; stuck line=load at=202 for=1000000 value=1") == "died");
  CHECK(judged("scene seed=37567 chemistry=NMC series=4 taps=0 plan=whole",
               "crash line=meter n=2213; stuck line=meter at=484 for=1000000 value=1") == "died");
}

TEST_CASE("find: samples go to disk before the program insists on OFF") {
  CHECK(judged("scene seed=40603 chemistry=NiMH series=4 taps=0 meter=0 thermometer=0 "
               "dialect=scpi-1999-guarded-compound plan=whole",
               "disk_full line=load at=302 for=6; stuck line=load n=1162 for=1000000") ==
        "instrument");
}

TEST_CASE("find: an answer that took long may be as old as its question") {
  CHECK(judged("scene seed=59691 chemistry=LFP series=4 taps=4 thermometer=0 scan=0 board=0 "
               "dialect=scpi-1999-compound plan=capacity",
               "delay line=meter at=16.639 for=8 value=0.9") == "instrument");
  CHECK(judged("scene seed=60579 chemistry=NMC series=1 taps=0 meter=0 thermometer=0 scan=0 "
               "board=0 dialect=scpi-1999-guarded plan=whole",
               "delay line=load n=3755 for=34 value=0.758") == "safety");
  CHECK(judged("scene seed=85741 chemistry=LFP series=2 taps=0 meter=0 thermometer=0 scan=0 "
               "board=0 dialect=scpi-1999-guarded plan=whole",
               "delay line=load n=85 for=6 value=0.801") == "instrument");
}

TEST_CASE("find: nobody sleeps past the moment from which readings are too old") {
  CHECK(judged("scene seed=74184 chemistry=AGM series=6 taps=6 thermometer=0 scan=0 board=0 "
               "dialect=scpi-1999-guarded plan=capacity",
               "gone line=meter n=3359 for=4.646") == "safety");
}

TEST_CASE("find: a voltage that is at its end as soon as current flows is no capacity") {
  CHECK(judged("scene seed=72317 chemistry=NMC series=3 taps=0 thermometer=0 scan=0 board=0 "
               "dialect=scpi-1999-compound-guarded-list plan=whole",
               "contact line=load n=9 for=7.224 value=0.481 which=1") == "done");
}

TEST_CASE("find: a load that a dead program left on and that cannot be reached raises the alarm") {
  CHECK(judged("scene seed=77887 chemistry=NMC series=2 taps=2 thermometer=0 scan=0 board=0 "
               "dialect=scpi-1999 plan=capacity",
               "suspend line=meter n=2849 value=3859; crash line=load at=458; "
               "gone line=load at=235 for=25") == "died");
}

TEST_CASE("find: one answer to another question does not confirm that nothing flows") {
  CHECK(judged("scene seed=90698 chemistry=AGM series=6 taps=0 thermometer=0 scan=0 board=0 "
               "dialect=scpi-1999-guarded plan=capacity",
               "stuck line=meter n=32 for=1000000 value=1; stale line=load at=594 for=1") ==
        "safety");
}

TEST_CASE("find: what an emptied pack still gives a load that says it is off counts as none") {
  CHECK(judged("scene seed=99294 chemistry=NMC series=3 taps=0 scan=0 board=0 "
               "dialect=scpi-1999-guarded plan=capacity",
               "suspend line=meter n=1654 value=961; "
               "stuck line=load n=568 for=1000000 value=1") == "safety");
}

TEST_CASE("the same seed is the same, byte for byte, and another is not") {
  const Folder folder;
  Disk disk;
  const auto digest = [&](std::uint64_t seed) {
    const Drawn drawn = draw(seed);
    return run_trial(drawn.scene, drawn.faults, disk, folder.path()).digest;
  };
  for (std::uint64_t seed = 1; seed <= 10; ++seed) CHECK(digest(seed) == digest(seed));
  CHECK(digest(1) != digest(2));
}

TEST_CASE("faults and scenes read back as they were written") {
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const Drawn drawn = draw(seed);
    CHECK(faults_from(text_of(drawn.faults)) == drawn.faults);
    CHECK(scene_from(text_of(drawn.scene)) == drawn.scene);
  }
  CHECK(faults_from("none").empty());
  CHECK_THROWS_AS(faults_from("no_such_thing line=load at=1"), std::invalid_argument);
  CHECK_THROWS_AS(faults_from("delay line=nowhere at=1"), std::invalid_argument);
  CHECK_THROWS_AS(faults_from("delay at=soon"), std::invalid_argument);
  CHECK_THROWS_AS(faults_from("delay line=load colour=red"), std::invalid_argument);
}

TEST_CASE("shrinking leaves the one fault that matters, as plain as it can be") {
  Drawn found{scene_from("scene seed=1 board=1"),
              faults_from("delay line=load at=3.2 for=17 value=0.5; gone line=meter n=12; "
                          "silence line=load at=40.4 for=33.3 value=1")};
  const Drawn least = shrunk(found, [](const Drawn& drawn) {
    return std::any_of(drawn.faults.begin(), drawn.faults.end(), [](const Fault& f) {
      return f.kind == FaultKind::silence && f.for_s >= 3.0;
    });
  });
  CHECK(text_of(least.faults) == "silence line=load at=40 for=4 value=1");
  CHECK(least.scene.plan == "rest");
}
