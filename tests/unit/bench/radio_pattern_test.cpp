// Patterns against published timing and duty.

#include "bench/radio/radio_pattern.hpp"

#include <cmath>
#include <tuple>
#include <vector>

#include "catch.hpp"
#include "same_seed.hpp"

using namespace sagbench;
using bench::RadioPattern;
using bench::Rhythm;
using bench::Segment;

namespace {

struct Totals {
  double transmit_s = 0.0;
  double all_s = 0.0;
  double level_s = 0.0;
};

Totals play(const bench::Sending& sending, double seconds, std::uint64_t seed) {
  RadioPattern pattern(sending, seed);
  Totals totals;
  while (totals.all_s < seconds) {
    const Segment segment = pattern.next();
    if (!(segment.seconds > 0.0 && segment.level >= 0.0 && segment.level <= 1.0))
      FAIL("a segment of " << segment.seconds << " s at level " << segment.level);
    totals.all_s += segment.seconds;
    if (segment.transmitting) totals.transmit_s += segment.seconds;
    if (segment.transmitting) totals.level_s += segment.level * segment.seconds;
  }
  return totals;
}

}  // namespace

TEST_CASE("the transmit share is kept") {
  for (const double share : {0.0, 0.1, 0.33, 0.5, 1.0}) {
    for (const auto mode : {analysis::Mode::ssb, analysis::Mode::cw, analysis::Mode::am}) {
      for (const auto rhythm : {Rhythm::share, Rhythm::qso, Rhythm::contest}) {
        const Totals totals = play({mode, share, rhythm}, 36000.0, 3);
        CHECK(totals.transmit_s / totals.all_s == Approx(share).margin(0.003));
      }
    }
  }
}

TEST_CASE("the same seed sends the same") {
  const bench::Sending speech{analysis::Mode::ssb, 0.4};
  bench::testing::check_same_by_seed(RadioPattern(speech, 11), RadioPattern(speech, 11),
                                     RadioPattern(speech, 12));
}

TEST_CASE("overs of CW end behind a whole sign") {
  RadioPattern pattern({analysis::Mode::cw, 0.3, Rhythm::contest}, 4);
  Segment last = pattern.next();
  int overs = 0;
  for (int i = 0; i < 5000; ++i) {
    const Segment segment = pattern.next();
    if (last.transmitting && !segment.transmitting) {
      ++overs;
      CHECK(last.level == 0.0);
      CHECK(last.seconds >= 3 * 0.1 - 1e-9);  // the gap behind a sign at 12 words a minute
    }
    last = segment;
  }
  CHECK(overs > 100);
}

// 79 symbols of 0.160 s in 15 s, 105 of 0.048 s in 7.5 s.
TEST_CASE("slots begin on their grid whatever the share") {
  for (const auto& [mode, slot_s, on_air_s] :
       {std::tuple{analysis::Mode::ft8, 15.0, 12.64}, std::tuple{analysis::Mode::ft4, 7.5, 5.04}}) {
    RadioPattern pattern({mode, 0.3}, 1);
    double time_s = 0.0;
    for (int i = 0; i < 200; ++i) {
      const Segment segment = pattern.next();
      if (segment.transmitting) {
        CHECK(std::abs(std::remainder(time_s, slot_s)) < 1e-6);
        CHECK(segment.seconds == Approx(on_air_s));
      }
      time_s += segment.seconds;
    }
  }
}

TEST_CASE("overs of a voice last the same as overs of a carrier by the same seed") {
  const auto overs_of = [](analysis::Mode mode) {
    RadioPattern pattern({mode, 0.4, Rhythm::qso}, 8);
    std::vector<double> overs = {0.0};
    while (overs.size() < 50) {
      const Segment segment = pattern.next();
      if (segment.transmitting)
        overs.back() += segment.seconds;
      else
        overs.push_back(0.0);
    }
    return overs;
  };
  const auto voice = overs_of(analysis::Mode::ssb), carrier = overs_of(analysis::Mode::fm);
  for (std::size_t i = 0; i < voice.size(); ++i)
    CHECK(voice[i] == Approx(carrier[i]).margin(0.002));
}
