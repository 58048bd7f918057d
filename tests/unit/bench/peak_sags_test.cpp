#include "bench/run/peak_sags.hpp"

#include "catch.hpp"

using namespace sagbench::bench;
using sagbench::analysis::Phase;
using sagbench::analysis::Sample;

namespace {

Sample at(double time_s, Phase phase, double voltage_v, double current_a) {
  Sample sample;
  sample.time_s = time_s;
  sample.phase = phase;
  sample.voltage_v = voltage_v;
  sample.current_a = current_a;
  return sample;
}

}  // namespace

TEST_CASE("a peak's sag is from the sample before it to its lowest") {
  PeakSags sags;
  sags.take(at(1, Phase::rest, 13.2, 0));
  sags.take(at(2, Phase::rest, 13.3, 0));
  sags.take(at(3, Phase::peak, 12.9, 9.9));
  REQUIRE(sags.last().size() == 1);
  sags.take(at(4, Phase::peak, 12.6, 10.0));
  sags.take(at(5, Phase::peak, 12.7, 9.8));
  sags.take(at(6, Phase::recovery, 13.1, 0));
  REQUIRE(sags.last().size() == 1);
  const PeakSag peak = sags.last().front();
  CHECK(peak.time_s == 3);
  CHECK(peak.current_a == 10.0);
  CHECK(peak.rest_v == 13.3);
  CHECK(peak.least_v == 12.6);
  CHECK(peak.sag_v() == Approx(0.7));
}

TEST_CASE("overs of a radio are peaks, and steady discharge and a resistance step are none") {
  PeakSags sags;
  sags.take(at(1, Phase::discharge, 13.0, 5));
  sags.take(at(2, Phase::low_current, 13.0, 2));
  sags.take(at(3, Phase::high_current, 12.8, 10));
  CHECK(sags.last().empty());
  sags.take(at(4, Phase::receive, 13.1, 0.9));
  sags.take(at(5, Phase::transmit, 12.5, 20));
  sags.take(at(6, Phase::transmit, 12.9, 2));
  sags.take(at(7, Phase::receive, 13.0, 0.9));
  sags.take(at(8, Phase::trip_search, 12.0, 30));
  REQUIRE(sags.last().size() == 2);
  CHECK(sags.last().front().rest_v == 13.1);
  CHECK(sags.last().back().rest_v == 13.0);
}

TEST_CASE("the last few are kept, and one without a sample before it is not told") {
  PeakSags sags;
  sags.take(at(0, Phase::peak, 12.0, 10));
  CHECK(sags.last().empty());
  for (int i = 1; i <= 8; ++i) {
    sags.take(at(10 * i, Phase::rest, 13.0, 0));
    sags.take(at(10 * i + 1, Phase::peak, 12.0, i));
  }
  REQUIRE(sags.last().size() == PeakSags::kKept);
  CHECK(sags.last().front().current_a == 4);
  CHECK(sags.last().back().current_a == 8);
}
