#include "bench/radio/reduction.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "analysis/delivery.hpp"
#include "bench/radio/radio_pattern.hpp"
#include "catch.hpp"
#include "drivers/random.hpp"

namespace sagbench::bench {
namespace {

using analysis::CurrentFigures;
using analysis::Mode;
using drivers::ListPoint;
using Points = std::vector<ListPoint>;

constexpr double kNoLimit = std::numeric_limits<double>::infinity();

Points pattern_of(const Sending& sending, double seconds, std::uint64_t seed, double idle_a,
                  double peak_a, double receive_a) {
  RadioPattern pattern(sending, seed);
  Points points;
  for (double time_s = 0.0; time_s < seconds; time_s += points.back().dwell_s) {
    const Segment segment = pattern.next();
    points.push_back({segment.transmitting ? idle_a + (peak_a - idle_a) * segment.level : receive_a,
                      segment.seconds});
  }
  return points;
}

double seconds_of(const Points& points) {
  return std::accumulate(points.begin(), points.end(), 0.0,
                         [](double sum, const ListPoint& point) { return sum + point.dwell_s; });
}

/// A load of its own kind: looked at in small steps of time.
CurrentFigures observed(const Points& points, double slew_a_per_s) {
  CurrentFigures figures;
  double current_a = points.back().current_a, square_a2s = 0.0;
  for (const ListPoint& point : points) {
    const double pieces = std::ceil(point.dwell_s / 5e-4);
    const double step_s = point.dwell_s / pieces;
    for (double i = 0; i < pieces; ++i) {
      const double most_a = slew_a_per_s * step_s;
      const double before_a = current_a;
      current_a += std::clamp(point.current_a - current_a, -most_a, most_a);
      const double middle_a = (before_a + current_a) / 2.0;
      figures.mean_a += middle_a * step_s;
      square_a2s += middle_a * middle_a * step_s;
      figures.peak_a = std::max(figures.peak_a, current_a);
    }
    figures.duration_s += point.dwell_s;
  }
  figures.mean_a /= figures.duration_s;
  figures.rms_a = std::sqrt(square_a2s / figures.duration_s);
  return figures;
}

Agility slow(double shortest_s) {
  Agility load;
  load.shortest_s = shortest_s;
  return load;
}

const Points kDots = {{2.0, 0.06}, {0.5, 0.06}, {2.0, 0.06}, {0.5, 0.06}, {2.0, 0.06}, {0.5, 0.06}};

}  // namespace

TEST_CASE("a load that can follow plays what was asked for") {
  const Reduction played = reduce(kDots, slow(0.06));
  CHECK(played.refused.empty());
  CHECK_FALSE(played.reduced);
  REQUIRE(played.points.size() == kDots.size());
  for (std::size_t i = 0; i < kDots.size(); ++i) {
    CHECK(played.points[i].current_a == kDots[i].current_a);
    CHECK(played.points[i].dwell_s == kDots[i].dwell_s);
  }
}

TEST_CASE("dots too short for the load become one long mark of the same time, mean and r.m.s.") {
  const Reduction played = reduce(kDots, slow(0.1));
  REQUIRE(played.refused.empty());
  CHECK(played.reduced);
  CHECK(seconds_of(played.points) == Approx(0.36));
  CHECK(played.expected.mean_a == Approx(1.25));
  CHECK(played.expected.rms_a == Approx(std::sqrt((4.0 + 0.25) / 2.0)));
  CHECK(played.expected.peak_a == Approx(2.0));
  for (const ListPoint& point : played.points) CHECK(point.dwell_s >= 0.1 - 1e-9);
}

// A peak of 0.05 s in 2 s: mean 1.475 and mean square 3.425 ask, at 10 A, for 0.05 s of it.
TEST_CASE("a peak too brief for the load cannot be kept without breaking mean or r.m.s.") {
  const Points spike = {{1.0, 1.0}, {10.0, 0.05}, {1.0, 1.0}};
  const Reduction played = reduce(spike, slow(0.2));
  CHECK(played.points.empty());
  CHECK(played.refused.find("within 1 % of mean, 2 % of r.m.s. and 2 % of peak") !=
        std::string::npos);
  CHECK(played.refused.find('\n') == std::string::npos);
}

TEST_CASE("a brief peak is kept where other high currents lend it time") {
  const Points rising = {{1.0, 1.0}, {9.0, 0.1}, {10.0, 0.1}, {9.0, 0.1}, {1.0, 1.0}};
  const Reduction played = reduce(rising, slow(0.2));
  REQUIRE(played.refused.empty());
  CHECK(played.expected.peak_a >= 9.8);
  CHECK(played.expected.mean_a == Approx(played.asked.mean_a).epsilon(kMeanWithin));
}

TEST_CASE("a current above the load's highest is refused with both") {
  Agility load;
  load.max_a = 20.0;
  CHECK(reduce({{22.0, 1.0}}, load).refused ==
        "the pattern asks for 22 A and the load draws at most 20 A");
}

TEST_CASE("currents between the load's steps make good for one another") {
  Points mean_between;
  for (int i = 0; i < 40; ++i) mean_between.push_back({i % 2 == 0 ? 3.0 : 0.93, 1.0});
  Agility load;
  load.step_a = 0.2;
  const Reduction played = reduce(mean_between, load);
  REQUIRE(played.refused.empty());
  CHECK(played.expected.mean_a == Approx(1.965).epsilon(0.003));
  for (const ListPoint& point : played.points)
    CHECK(std::abs(std::remainder(point.current_a, 0.2)) < 1e-9);
}

TEST_CASE("a slew too low for short marks is met by longer ones") {
  Points marks;
  for (int i = 0; i < 400; ++i) marks.push_back({i % 2 == 0 ? 20.0 : 1.0, 0.1});
  Agility load;
  load.slew_a_per_s = 200.0;  // a ramp takes 95 ms of the 100
  const Reduction played = reduce(marks, load);
  REQUIRE(played.refused.empty());
  CHECK(played.reduced);
  CHECK(played.points.size() < marks.size() / 2);
  CHECK(played.expected.rms_a == Approx(played.asked.rms_a).epsilon(kRmsWithin));
}

TEST_CASE("a load slower than the whole pattern is refused") {
  CHECK(reduce(kDots, slow(1.0)).refused.find("too slow to play 0.36 s") != std::string::npos);
}

TEST_CASE("whatever the pattern and the load: within the bounds, or one sentence") {
  int kept = 0, reduced = 0, refused = 0;
  for (std::uint64_t seed = 1; seed <= 600; ++seed) {
    drivers::Random random(seed, 7);
    const auto spread = [&](double low, double high) {
      return std::pow(10.0, random.uniform(std::log10(low), std::log10(high)));
    };
    Sending sending;
    sending.mode = static_cast<Mode>(seed % 8);
    sending.transmit_share = random.uniform(0.05, 1.0);
    sending.rhythm = sending.mode == Mode::ft8 ? Rhythm::share : static_cast<Rhythm>(seed % 3);
    const double idle_a = random.uniform(0.1, 2.0), peak_a = idle_a + random.uniform(0.5, 20.0);
    const Points asked =
        pattern_of(sending, spread(5.0, 60.0), seed, idle_a, peak_a, random.uniform(0.05, 1.0));
    Agility load;
    load.shortest_s = spread(0.001, 5.0);
    load.slew_a_per_s = seed % 4 == 0 ? kNoLimit : spread(5.0, 1e5);
    load.step_a = seed % 3 == 0 ? 0.0 : spread(0.001, 1.0);
    load.max_a = peak_a * random.uniform(0.95, 3.0);
    const Reduction played = reduce(asked, load);
    INFO("seed " << seed << ", shortest " << load.shortest_s << ", slew " << load.slew_a_per_s
                 << ", step " << load.step_a);
    REQUIRE(played.points.empty() != played.refused.empty());
    if (played.points.empty()) {
      ++refused;
      CHECK(played.refused.find('\n') == std::string::npos);
      continue;
    }
    (played.reduced ? reduced : kept) += 1;
    CHECK(seconds_of(played.points) == Approx(seconds_of(asked)));
    for (const ListPoint& point : played.points) {
      REQUIRE(point.dwell_s >= load.shortest_s - 1e-6);
      REQUIRE(point.current_a >= 0.0);
      REQUIRE(point.current_a <= load.max_a);
    }
    const CurrentFigures got = observed(played.points, load.slew_a_per_s);
    const CurrentFigures wanted = observed(asked, kNoLimit);
    CHECK(got.mean_a == Approx(wanted.mean_a).epsilon(kMeanWithin + 0.001));
    CHECK(got.rms_a == Approx(wanted.rms_a).epsilon(kRmsWithin + 0.002));
    CHECK(got.peak_a == Approx(wanted.peak_a).epsilon(kPeakWithin + 0.001));
  }
  CAPTURE(kept, reduced, refused);
  CHECK(kept > 60);
  CHECK(reduced > 100);
  CHECK(refused > 60);
}

TEST_CASE("a minute of keying, of a voice and of slots fits a load that changes twice a second") {
  for (const auto mode : {Mode::cw, Mode::ssb, Mode::ssb_processed, Mode::ft8, Mode::fm}) {
    Sending sending;
    sending.mode = mode;
    sending.transmit_share = 0.5;
    const Reduction played = reduce(pattern_of(sending, 60.0, 3, 1.0, 20.0, 0.9), slow(0.5));
    INFO(analysis::name_of(mode) << ": " << played.refused);
    CHECK(played.refused.empty());
  }
}

TEST_CASE("what a slow load draws of a reduced pattern compares with what was asked for") {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Points asked = pattern_of({Mode::cw, 0.5}, 120.0, seed, 1.0, 20.0, 0.9);
    const Reduction played = reduce(asked, slow(0.3));
    REQUIRE(played.refused.empty());
    std::vector<analysis::AskedCurrent> wanted;
    for (double time_s = 0.0; const ListPoint& point : asked) {
      wanted.push_back({time_s, point.current_a});
      time_s += point.dwell_s;
    }
    std::vector<analysis::Sample> samples;
    for (double start_s = 0.0; const ListPoint& point : played.points) {
      analysis::Sample sample;
      sample.commanded_since_s = start_s;
      sample.current_a = sample.commanded_a = point.current_a;
      for (const double share : {0.01, 0.5, 0.99}) {
        sample.time_s = start_s + share * point.dwell_s;
        samples.push_back(sample);
      }
      start_s += point.dwell_s;
    }
    const auto compared = analysis::delivery(wanted, seconds_of(asked), samples);
    REQUIRE(compared);
    CHECK(compared->delivered.mean_a == Approx(compared->asked.mean_a).epsilon(0.01));
    CHECK(compared->delivered.rms_a == Approx(compared->asked.rms_a).epsilon(0.02));
    CHECK(compared->delivered.peak_a == Approx(20.0));
    CHECK(compared->delivered_key_down == Approx(compared->asked_key_down).margin(0.02));
    // Of three dots and dashes at 12 words a minute there is about one left.
    CHECK(compared->edges.unseen > compared->edges.asked / 4);
    CHECK(compared->edges.unseen < compared->edges.asked);
  }
}

}  // namespace sagbench::bench
