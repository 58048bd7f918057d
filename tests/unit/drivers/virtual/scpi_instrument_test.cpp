#include "drivers/virtual/scpi_instrument.hpp"

#include "catch.hpp"
#include "drivers/random.hpp"
#include "worlds.hpp"

// Rules of IEEE 488.2 and SCPI-1999; clauses beside each where known.
namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

/// Remembers what it was told.
struct Toy {
  double value = 0.0;
  int resets = 0;
  ScpiInstrument instrument{
      "SAGBENCH,TOY,0,0",
      [this](Time) { ++resets; },
      {{"SYSTem:VALue",
        [this](ScpiCall& call) {
          value = parse_number(call.parameters[0], "V", {0.0, 5.0, 1.0});
        },
        1, 1},
       {"SYSTem:VALue?", [this](ScpiCall& call) { append_number(call.answer, value); }},
       {"SYSTem:SLOW?", [](ScpiCall& call) {
          call.answer += "1";
          call.takes += 50ms;
        }}}};

  std::string say(const std::string& message) { return ask(instrument, message); }
  int error() { return take_error(instrument); }
};

}  // namespace

TEST_CASE("a message may come in pieces, and several at once") {
  Toy toy;
  CHECK(toy.instrument.receive("*ID", 0s).empty());
  CHECK(toy.instrument.receive("N?", 1s).empty());
  const auto answers = toy.instrument.receive("\r\n*OPC?\n*TS", 2s);
  REQUIRE(answers.size() == 2);
  CHECK(answers[0].bytes == "SAGBENCH,TOY,0,0\n");
  CHECK(answers[1].bytes == "1\n");
  CHECK(toy.instrument.receive("T?\n", 3s).at(0).bytes == "0\n");
}

TEST_CASE("answers of one message come as one line, joined by semicolons") {
  Toy toy;
  CHECK(toy.say("SYST:VAL 2;VAL?;*OPC?;VERS?") == "+2.0000000e+00;1;1999.0\n");
}

TEST_CASE("a unit that fails leaves the others of its message alone") {
  Toy toy;
  CHECK(toy.say("SYST:VAL 3;VAL 7;VAL?") == "+3.0000000e+00\n");
  CHECK(toy.error() == -222);
  CHECK(toy.say("NONSENSE?;*OPC?") == "1\n");
  CHECK(toy.error() == -113);
}

TEST_CASE("numbers out of range, words and missing or surplus parameters are told apart") {
  Toy toy;
  const auto error_of = [&toy](const std::string& message) {
    CHECK(toy.say(message).empty());
    return toy.error();
  };
  CHECK(error_of("SYST:VAL 5.1") == -222);
  CHECK(error_of("SYST:VAL -1") == -222);
  CHECK(error_of("SYST:VAL") == -109);
  CHECK(error_of("SYST:VAL ,") == -108);
  CHECK(error_of("SYST:VAL 1,2") == -108);
  CHECK(error_of("*IDN? 1") == -108);
  CHECK(error_of("SYST:VAL LARGE") == -224);
  CHECK(error_of("SYST:VAL INF") == -224);
  CHECK(error_of("SYST:VAL -INF") == -121);
  CHECK(error_of("SYST:VAL 1.2.3") == -121);
  CHECK(error_of("SYST:VAL 1e999") == -222);
  CHECK(error_of("SYST:VAL 1A") == -131);
  CHECK(error_of("SYST:VAL \"1\"") == -104);
  CHECK(error_of("SYST:VAL \"1") == -102);
  CHECK(error_of("SYST:VAL (1") == -102);
  CHECK(error_of("SYST:VAL 1\x07") == -101);
  CHECK(error_of("SYST:VAL 1\xff") == -101);
  CHECK(error_of("*ESE 256") == -222);
  CHECK(toy.value == 0.0);
}

TEST_CASE(
    "MINimum, MAXimum and DEFault stand for the limits of a setting (SCPI-1999 Vol 1, 7.2.1)") {
  Toy toy;
  toy.say("SYST:VAL MAX");
  CHECK(toy.value == 5.0);
  toy.say("SYST:VAL minimum");
  CHECK(toy.value == 0.0);
  toy.say("SYST:VAL DEF");
  CHECK(toy.value == 1.0);
  toy.say("SYST:VAL #H4");
  CHECK(toy.value == 4.0);
  CHECK(toy.error() == 0);
}

TEST_CASE("a line longer than the buffer is dropped whole, the next one is heard") {
  Toy toy;
  const bool in_pieces = GENERATE(false, true);
  const std::string longest = "*OPC?" + std::string(4096 - 5, ' ');
  CHECK(toy.say(longest) == "1\n");
  if (in_pieces) {
    CHECK(toy.instrument.receive(longest, 0s).empty());
    CHECK(toy.instrument.receive(";*OPC?", 0s).empty());
    CHECK(toy.instrument.receive(";*OPC?\n", 0s).empty());
  } else {
    CHECK(toy.say(longest + " ").empty());
  }
  CHECK(toy.error() == -363);
  CHECK(toy.error() == 0);
  CHECK(toy.say("*OPC?") == "1\n");
}

TEST_CASE("*CLS empties queue and events but keeps the enable registers (IEEE 488.2, 10.3)") {
  Toy toy;
  toy.say("*ESE 36;*SRE 32");
  toy.say("NONSENSE");
  CHECK(toy.say("SYST:ERR:COUN?") == "1\n");
  CHECK(toy.say("*CLS;SYST:ERR:COUN?;*ESR?;*STB?;*ESE?;*SRE?") == "0;0;16;36;32\n");
  toy.say("*OPC");
  CHECK(toy.say("*ESR?") == "1\n");
}

TEST_CASE("*RST resets the device, not its status (IEEE 488.2, 10.32)") {
  Toy toy;
  toy.say("NONSENSE");
  toy.say("*RST");
  CHECK(toy.resets == 1);
  CHECK(toy.error() == -113);
}

TEST_CASE("an answer is ready when the work is done, and never before an earlier one") {
  Toy toy;
  const auto slow = toy.instrument.receive("SYST:SLOW?\n", 10s);
  CHECK(slow.at(0).ready >= 10s + 50ms);
  CHECK(slow.at(0).ready < 10s + 51ms);
  const auto quick = toy.instrument.receive("*OPC?\n", 10s + 1ms);
  CHECK(quick.at(0).ready > slow.at(0).ready);
  const auto two = toy.instrument.receive("SYST:SLOW?;SLOW?\n", 20s);
  CHECK(two.at(0).ready >= 20s + 100ms);
}

TEST_CASE("whatever bytes come, the instrument goes on answering") {
  const std::string alphabet =
      "*:;,?()@#!.+-\"' \t\r\n\xff"
      "AEIDNOPRSTVMCUL0123456789meascurvolprt";
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 1);
  Random random(2026, 0);
  for (VirtualInstrument* instrument : {&bench.load(), &bench.meter()}) {
    for (int i = 0; i < 3000; ++i) {
      std::string bytes;
      const auto length = static_cast<std::size_t>(random.uniform(0.0, 60.0));
      while (bytes.size() < length) {
        const double place = random.uniform(0.0, static_cast<double>(alphabet.size()));
        bytes += alphabet[static_cast<std::size_t>(place)];
      }
      instrument->receive(bytes, 0s);
    }
    ask(*instrument, "");
    CHECK(ask(*instrument, "*CLS;*OPC?") == "1\n");
  }
}

TEST_CASE("unknown headers by the hundred do not grow what the instrument remembers") {
  Toy toy;
  for (int i = 0; i < 2000; ++i)
    toy.say(std::string(static_cast<std::size_t>(i % 40), ' ') + "syst:val " + "1");
  for (int i = 0; i < 2000; ++i) toy.say("NO" + std::to_string(i));
  CHECK(toy.say("SYST:ERR:COUN?") == "16\n");
  CHECK(toy.say("*OPC?") == "1\n");
}

}  // namespace sagbench::drivers::virtual_bench::test
