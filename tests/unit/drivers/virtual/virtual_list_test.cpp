// The LIST subsystem of the virtual load. Words of SCPI-1999 Vol 2 ch. 19, error numbers of ch.
// 21.8; what a load does when they come out of order is common practice, no source.

#include "catch.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

struct Desk {
  VirtualBench bench{lfp_world(), load_spec(), std::nullopt, 1};

  std::string say(const std::string& message, Time now = 0s) {
    return ask(bench.load(), message, now);
  }
  int error_of(const std::string& message, Time now = 0s) {
    say(message, now);
    return take_error(bench.load());
  }
  double current_a(Time now) { return bench.truth(now).current_a; }
};

constexpr double kClass_a = 0.04;  // 0.1 % of 20 A, 0.05 % of 30 A, half a step

}  // namespace

TEST_CASE("a list is played in the load's own time, then the immediate current is back") {
  Desk desk;
  desk.say("CURR 1;:LIST:CURR 20,2;DWEL 0.1,0.4;COUN 2;:CURR:MODE LIST;:INP ON");
  CHECK(desk.error_of("SYST:VERS?") == 0);
  CHECK(desk.current_a(1s) == Approx(1.0).margin(kClass_a));  // not before the trigger
  desk.say("INIT", 1s);
  // Nobody says anything meanwhile; only the world is looked at.
  CHECK(desk.current_a(1050ms) == Approx(20.0).margin(kClass_a));
  CHECK(desk.current_a(1110ms) == Approx(2.0).margin(kClass_a));
  CHECK(desk.current_a(1490ms) == Approx(2.0).margin(kClass_a));
  CHECK(desk.current_a(1510ms) == Approx(20.0).margin(kClass_a));
  CHECK(desk.current_a(1990ms) == Approx(2.0).margin(kClass_a));
  CHECK(desk.current_a(2001ms) == Approx(1.0).margin(kClass_a));
  CHECK(take_error(desk.bench.load()) == 0);
}

TEST_CASE("charge drawn by a list is that of its points, however seldom one looks") {
  Desk desk;
  desk.say("LIST:CURR 10,0;DWEL 0.25,0.75;COUN INF;:CURR:MODE LIST;:INP ON;:INIT");
  const double removed_ah = desk.bench.truth(3600s).charge_removed_ah;
  // A quarter of an hour at 10 A; the setpoint's class is 0.1 % of 10 A and 0.05 % of 30 A.
  CHECK(removed_ah == Approx(2.5).margin(0.25 * (0.01 + 0.015 + 30.0 / 65536.0)));
}

TEST_CASE("what was loaded can be asked") {
  Desk desk;
  desk.say("LIST:CURR 20,2,0.5;DWEL 100ms");
  CHECK(desk.say("LIST:CURR?") == "+2.0000000e+01,+2.0000000e+00,+5.0000000e-01\n");
  CHECK(desk.say("LIST:CURR:POIN?") == "3\n");
  CHECK(desk.say("SOUR:LIST:DWEL:POINTS?") == "1\n");
  CHECK(desk.say("LIST:DWEL?") == "+1.0000000e-01\n");
  CHECK(desk.say("LIST:COUN?") == "+1.0000000e+00\n");
  CHECK(desk.say("LIST:COUN INF;COUN?") == "+9.9000000e+37\n");
  CHECK(desk.say("CURR:MODE?") == "FIX\n");
  CHECK(desk.say("CURR:MODE LIST;MODE?") == "LIST\n");
  CHECK(desk.say("TRIG:SOUR?") == "IMM\n");
  CHECK(take_error(desk.bench.load()) == 0);
}

TEST_CASE("a list may wait for the bus") {
  Desk desk;
  desk.say("LIST:CURR 5;DWEL 1;:CURR:MODE LIST;:TRIG:SOUR BUS;:INP ON");
  CHECK(desk.error_of("*TRG") == -211);
  desk.say("INIT");
  CHECK(desk.current_a(10s) == 0.0);
  CHECK(desk.error_of("INIT", 10s) == -213);
  desk.say("*TRG", 10s);
  CHECK(desk.current_a(10500ms) == Approx(5.0).margin(kClass_a));
  CHECK(desk.current_a(11001ms) == 0.0);
}

TEST_CASE("leaving list mode or ABORt ends a list at once") {
  Desk desk;
  desk.say("CURR 1;:LIST:CURR 20;DWEL 10;:CURR:MODE LIST;:INP ON;:INIT");
  const std::string end = GENERATE("ABOR", "CURR:MODE FIX");
  desk.say(end, 1s);
  CHECK(desk.current_a(1s) == Approx(1.0).margin(kClass_a));
  CHECK(take_error(desk.bench.load()) == 0);
}

TEST_CASE("a list goes its way while the input is off, and OFF is OFF all the same") {
  Desk desk;
  desk.say("LIST:CURR 20,5;DWEL 1,1;:CURR:MODE LIST;:INP ON;:INIT");
  desk.say("INP OFF", 500ms);
  CHECK(desk.current_a(500ms) == 0.0);
  CHECK(desk.current_a(1500ms) == 0.0);
  desk.say("INP ON", 1500ms);
  CHECK(desk.current_a(1500ms) == Approx(5.0).margin(kClass_a));
}

TEST_CASE("a point above the over-current protection trips it") {
  Desk desk;
  desk.say("CURR:PROT 10;:LIST:CURR 5,15;DWEL 1;:CURR:MODE LIST;:INP ON;:INIT");
  CHECK(desk.current_a(900ms) == Approx(5.0).margin(kClass_a));
  CHECK(desk.current_a(1s) == 0.0);
  CHECK(desk.say("INP?", 2s) == "0\n");
  CHECK(take_error(desk.bench.load()) == 101);
}

TEST_CASE("lists that make no sense are refused") {
  Desk desk;
  desk.say("CURR:MODE LIST");
  CHECK(desk.error_of("INIT") == -221);  // empty
  CHECK(desk.error_of("LIST:CURR 31") == -222);
  CHECK(desk.error_of("LIST:DWEL 0.0001") == -222);
  CHECK(desk.error_of("LIST:CURR") == -109);
  CHECK(desk.error_of("LIST:COUN 0") == -222);
  CHECK(desk.error_of("CURR:MODE RAMP") == -224);
  desk.say("LIST:CURR 1,2,3;DWEL 1,1");
  CHECK(desk.error_of("INIT") == -226);
  desk.say("LIST:DWEL 1;:CURR:MODE FIX");
  CHECK(desk.error_of("INIT") == -221);  // not in list mode
  desk.say("CURR:MODE LIST;:INIT");
  CHECK(desk.error_of("LIST:CURR 4") == -221);  // while it plays
  std::string long_list = "LIST:CURR 1";
  for (int i = 0; i < 100; ++i) long_list += ",1";
  CHECK(desk.error_of(long_list, 10s) == -108);
  desk.say("*RST", 10s);
  CHECK(desk.say("LIST:CURR:POIN?;:CURR:MODE?", 10s) == "0;FIX\n");
}

}  // namespace sagbench::drivers::virtual_bench::test
