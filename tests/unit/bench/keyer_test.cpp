#include "bench/radio/keyer.hpp"

#include <algorithm>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "catch.hpp"

namespace sagbench::bench {
namespace {

/// Rows of numbers of a reference file, comments and heading left out.
std::vector<std::vector<double>> rows_of(const std::string& name) {
  std::ifstream file(SAGBENCH_TEST_DATA "/reference/data/keying/" + name);
  std::vector<std::vector<double>> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.find_first_not_of("0123456789.,") != std::string::npos) continue;
    std::istringstream cells(line);
    auto& row = rows.emplace_back();
    for (std::string cell; std::getline(cells, cell, ',');) row.push_back(std::stod(cell));
  }
  return rows;
}

Keying paris(double words_per_minute) {
  return {.text = "PARIS", .words_per_minute = words_per_minute};
}

struct Played {
  double down_s = 0.0, all_s = 0.0;
};

Played play(const Keying& keying, int segments, std::uint64_t seed = 1) {
  Keyer keyer(keying, seed);
  Played played;
  for (int i = 0; i < segments; ++i) {
    const Segment segment = keyer.next();
    if (!(segment.seconds > 0.0 && segment.transmitting)) FAIL("a segment is empty");
    played.all_s += segment.seconds;
    played.down_s += segment.level * segment.seconds;
  }
  return played;
}

}  // namespace

TEST_CASE("PARIS is keyed event by event as the reference lists it") {
  const auto events = rows_of("paris_events.csv");
  REQUIRE(events.size() == 28);
  Keyer keyer(paris(20.0), 1);
  double unit = 0.0;
  for (const auto& event : events) {
    CHECK(unit == Approx(event[0]).margin(1e-9));
    const Segment segment = keyer.next();
    CHECK(segment.seconds / 0.060 == Approx(event[1]));
    CHECK(segment.level == event[2]);
    unit += segment.seconds / 0.060;
  }
  CHECK(keyer.next().seconds == Approx(0.060));  // and again from the start
}

TEST_CASE("dots, dashes and gaps at every speed of the reference") {
  const auto rows = rows_of("morse_timing.csv");
  REQUIRE(rows.size() == 12);
  for (const auto& row : rows) {
    INFO(row[0] << " words a minute");
    Keyer keyer(paris(row[0]), 1);
    std::vector<double> ms;
    for (int i = 0; i < 28; ++i) ms.push_back(1000.0 * keyer.next().seconds);
    CHECK(ms[0] == Approx(row[1]).margin(1e-4));   // dot of P
    CHECK(ms[2] == Approx(row[2]).margin(1e-4));   // dash of P
    CHECK(ms[7] == Approx(row[3]).margin(1e-4));   // gap behind P
    CHECK(ms[27] == Approx(row[4]).margin(1e-4));  // gap behind the word
    const Played word = play(paris(row[0]), 28);
    CHECK(word.all_s == Approx(row[5]).margin(1e-6));
    CHECK(word.down_s == Approx(row[6]).margin(1e-6));
  }
}

TEST_CASE("weighting lengthens marks at the cost of gaps, and the speed stays") {
  Keying heavy = paris(12.0);
  heavy.weighting = 0.6;  // 0.2 units, 14 marks and 14 gaps in PARIS
  const Played word = play(heavy, 28);
  CHECK(word.all_s == Approx(50 * 0.1));
  CHECK(word.down_s == Approx((22 + 14 * 0.2) * 0.1));
  CHECK(key_down_share(heavy) == Approx((22 + 14 * 0.2) / 50));
}

TEST_CASE("jitter shakes every mark within its bounds and leaves speed and mean") {
  Keying shaken = paris(12.0);
  shaken.jitter = 0.2;
  Keyer keyer(shaken, 5), again(shaken, 5);
  std::vector<double> first_dots;
  for (int i = 0; i < 28 * 200; ++i) {
    const double seconds = keyer.next().seconds;
    REQUIRE(seconds == again.next().seconds);
    if (i % 28 == 0) first_dots.push_back(seconds);
  }
  const auto [least, most] = std::minmax_element(first_dots.begin(), first_dots.end());
  CHECK(*least >= 0.08);
  CHECK(*least < 0.085);
  CHECK(*most <= 0.12);
  CHECK(*most > 0.115);
  const Played played = play(shaken, 28 * 2000);
  CHECK(played.all_s == Approx(2000 * 5.0).epsilon(0.005));
  CHECK(played.down_s / played.all_s == Approx(0.44).epsilon(0.005));
}

// FCC OET Bulletin 65 Supplement B, Table 2: 40 % for CW (seen second-hand).
TEST_CASE("without a text the key is down for the published share") {
  CHECK(key_down_share({}) == Approx(0.40));
  CHECK(key_down_share(paris(12.0)) == Approx(0.44));
}

TEST_CASE("between signs is behind each sign's gap only") {
  Keyer keyer({.text = "EA"}, 1);
  CHECK(keyer.between_signs());
  std::vector<bool> between;
  for (int i = 0; i < 6; ++i) {
    keyer.next();
    between.push_back(keyer.between_signs());
  }
  CHECK(between == std::vector<bool>{false, true, false, false, false, true});
}

}  // namespace sagbench::bench
