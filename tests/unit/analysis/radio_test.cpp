#include "analysis/radio.hpp"

#include <string>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

Radio radio(double peak_a, double idle_a, double receive_a) {
  Radio result;
  result.transmit_peak_a = peak_a;
  result.transmit_idle_a = idle_a;
  result.receive_a = receive_a;
  return result;
}

// FCC OET Bulletin 65 Supplement B (Ed. 97-01), Table 2 (seen, second-hand).
TEST_CASE("duty factors are those of OET 65 Supplement B") {
  CHECK(duty_factor(Mode::ssb) == Approx(0.20));
  CHECK(duty_factor(Mode::ssb_processed) == Approx(0.50));
  CHECK(duty_factor(Mode::cw) == Approx(0.40));
  CHECK(duty_factor(Mode::fm) == Approx(1.0));
  CHECK(duty_factor(Mode::rtty) == Approx(1.0));
}

// Slot arithmetic: 12.64 s of 15 s and 5.04 s of 7.5 s. The FT4 and FT8 Communication Protocols,
// QEX July/August 2020 (from memory; the constants seen in an open implementation).
TEST_CASE("duty factors of the slot modes follow from symbol counts") {
  CHECK(duty_factor(Mode::ft8) == Approx(0.842667).epsilon(1e-6));
  CHECK(duty_factor(Mode::ft4) == Approx(0.672).epsilon(1e-9));
}

// Mean of f (D Ip + (1-D) Ii) + (1-f) Ir and the root of the same mean of squares, worked outside
// this program.
TEST_CASE("mean and root-mean-square supply current match the worked table") {
  struct Case {
    Mode mode;
    double share, peak, idle, receive, mean, rms;
  };
  const Case row = GENERATE(Case{Mode::ssb, 0.25, 22, 1, 1, 2.0500, 5.0150},
                            Case{Mode::ssb_processed, 0.25, 22, 1, 1, 3.6250, 7.8342},
                            Case{Mode::cw, 0.50, 22, 1, 1, 5.2000, 9.8793},
                            Case{Mode::ft8, 0.50, 22, 1, 1, 9.8480, 14.3005},
                            Case{Mode::cw, 0.50, 1.5, 0.2, 0.2, 0.4600, 0.6943},
                            Case{Mode::ft8, 0.50, 1.5, 0.2, 0.2, 0.747733, 0.985468},
                            Case{Mode::ssb, 0.25, 1.5, 0.2, 0.2, 0.2650, 0.3879});
  const Radio tested = radio(row.peak, row.idle, row.receive);
  // The table is printed to four digits after the point.
  CHECK(mean_current_a(tested, row.mode, row.share) == Approx(row.mean).margin(5.1e-5));
  CHECK(rms_current_a(tested, row.mode, row.share) == Approx(row.rms).margin(5.1e-5));
}

TEST_CASE("the ends of the transmit share are receive alone and transmit alone") {
  const Radio tested = radio(20, 2, 1);
  CHECK(mean_current_a(tested, Mode::cw, 0.0) == Approx(1.0));
  CHECK(mean_current_a(tested, Mode::fm, 1.0) == Approx(20.0));
}

TEST_CASE("every mode is known by the name it has in an operation file") {
  for (const char* name : {"ssb", "ssb-processed", "cw", "fm", "rtty", "ft8", "ft4", "am"}) {
    const auto mode = mode_from(name);
    REQUIRE(mode);
    CHECK(name_of(*mode) == std::string(name));
  }
  CHECK_FALSE(mode_from("SSB"));
  CHECK_FALSE(mode_from(""));
  CHECK(name_of(RadioClass::qrp) == "QRP");
  CHECK(name_of(RadioClass::qro) == "QRO");
}

}  // namespace
}  // namespace sagbench::analysis
