// Every mode's pattern against its published duty factor, and its current against worked examples.
// Duty: FCC OET Bulletin 65 Supplement B (Ed. 97-01), Table 2, 1997, seen second-hand; FT8 and FT4
// by the slot lengths of "The FT4 and FT8 Communication Protocols", QEX, July/August 2020. They are
// shares of radio-frequency power: that the supply current follows the same share between idle and
// peak is the project's convention.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "bench/radio/radio_pattern.hpp"
#include "catch.hpp"

namespace sagbench::bench {
namespace {

using analysis::Mode;
using analysis::Radio;

constexpr double kHour_s = 3600.0;
constexpr int kSeeds = 20;

struct Current {
  double idle_a, peak_a, receive_a;
};

struct Hour {
  double all_s = 0.0, transmit_s = 0.0;
  double level_s = 0.0, square_s = 0.0, peak = 0.0;
  double charge_as = 0.0, square_a2s = 0.0;

  double mean_level() const { return level_s / transmit_s; }
  double rms_level() const { return std::sqrt(square_s / transmit_s); }
  double mean_a() const { return charge_as / all_s; }
  double rms_a() const { return std::sqrt(square_a2s / all_s); }
};

Hour hour_of(const Sending& sending, std::uint64_t seed, const Current& current = {0, 1, 0},
             double seconds = kHour_s) {
  RadioPattern pattern(sending, seed);
  Hour hour;
  while (hour.all_s < seconds) {
    const Segment segment = pattern.next();
    const double drawn_a = segment.transmitting
                               ? current.idle_a + (current.peak_a - current.idle_a) * segment.level
                               : current.receive_a;
    hour.all_s += segment.seconds;
    if (segment.transmitting) {
      hour.transmit_s += segment.seconds;
      hour.level_s += segment.level * segment.seconds;
      hour.square_s += segment.level * segment.level * segment.seconds;
      hour.peak = std::max(hour.peak, segment.level);
    }
    hour.charge_as += drawn_a * segment.seconds;
    hour.square_a2s += drawn_a * drawn_a * segment.seconds;
  }
  return hour;
}

struct Row {
  const char* what;
  Sending sending;
  double published;
  double tolerance;  // of the mean level in any hour, absolute
};

// The whole slot counts for FT8 and FT4, so their share here is 1 and the rest of the slot is
// reception. CW of a text is what the text is: the published figure rounds over texts, pauses and
// operators, so 0.05 is allowed where the text is the standard word, whose 22 of 50 units are 0.44.
const std::vector<Row>& rows() {
  static const std::vector<Row> table = {
      {"ssb", {Mode::ssb, 0.5}, 0.20, 0.010},
      {"ssb-processed", {Mode::ssb_processed, 0.5}, 0.50, 0.015},
      {"cw", {Mode::cw, 0.5}, 0.40, 0.005},
      {"cw, text PARIS", {Mode::cw, 0.5, Rhythm::share, {.text = "PARIS"}}, 0.40, 0.05},
      {"fm", {Mode::fm, 0.5}, 1.0, 1e-9},
      {"rtty", {Mode::rtty, 0.5}, 1.0, 1e-9},
      {"am (carrier)", {Mode::am, 0.5}, 1.0, 1e-9},
      {"ft8, its slots", {Mode::ft8, 1.0}, 79 * 0.160 / 15.0, 1e-3},
      {"ft4, its slots", {Mode::ft4, 1.0}, 105 * 0.048 / 7.5, 1e-3}};
  return table;
}

/// Of slot modes, the level over the whole slot.
double mean_level_in(const Hour& hour, const Row& row) {
  return row.sending.transmit_share == 1.0 ? hour.level_s / hour.all_s : hour.mean_level();
}

}  // namespace

TEST_CASE("mean, r.m.s. and peak of every mode against the published duty factor") {
  fmt::print("{:<16} {:>9} {:>9} {:>17} {:>7} {:>6} {:>10}\n", "mode", "published", "mean",
             "least to most", "r.m.s.", "peak", "tolerance");
  for (const Row& row : rows()) {
    double sum = 0.0, square = 0.0, least = 2.0, most = 0.0, peak = 0.0;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
      const Hour hour = hour_of(row.sending, seed);
      const double level = mean_level_in(hour, row);
      sum += level / kSeeds;
      square += hour.square_s / hour.transmit_s / kSeeds;
      least = std::min(least, level);
      most = std::max(most, level);
      peak = std::max(peak, hour.peak);
      CHECK(hour.peak > 0.95);
      // Of all patterns between idle and peak, the two-level one has the highest r.m.s.
      CHECK(hour.rms_level() <= std::sqrt(hour.mean_level()) + 1e-9);
    }
    fmt::print("{:<16} {:9.4f} {:9.4f} {:8.4f} {:8.4f} {:7.4f} {:6.3f} {:10.4f}\n", row.what,
               row.published, sum, least, most, std::sqrt(square), peak, row.tolerance);
    INFO(row.what);
    CHECK(peak == 1.0);
    CHECK(least == Approx(row.published).margin(row.tolerance));
    CHECK(most == Approx(row.published).margin(row.tolerance));
    CHECK(sum == Approx(row.published).margin(row.tolerance));
    CHECK(mean_level(row.sending) == Approx(sum).margin(0.005));
  }
}

TEST_CASE("the mean level is the same in every rhythm") {
  for (const auto rhythm : {Rhythm::qso, Rhythm::contest}) {
    for (const auto& [mode, duty, tolerance] :
         {std::tuple{Mode::ssb, 0.20, 0.006}, std::tuple{Mode::ssb_processed, 0.50, 0.01},
          std::tuple{Mode::cw, 0.40, 0.005}}) {
      const Hour hours = hour_of({mode, 0.4, rhythm}, 3, {0, 1, 0}, 10 * kHour_s);
      CHECK(hours.mean_level() == Approx(duty).margin(tolerance));
      CHECK(hours.transmit_s / hours.all_s == Approx(0.4).margin(0.003));
    }
  }
}

// Worked examples, computed by others: I_avg = f (D Ip + (1 - D) Ii) + (1 - f) Ir and the like for
// squares, with the load at either idle or peak. A voice lies between, so its r.m.s. is lower.
TEST_CASE("mean and r.m.s. supply current of the worked examples") {
  struct Example {
    const char* what;
    Sending sending;
    Current current;
    double mean_a, rms_a;
    bool two_levels;
  };
  const Current full{1.0, 22.0, 1.0}, low{0.2, 1.5, 0.2};
  const std::vector<Example> examples = {
      {"100 W SSB", {Mode::ssb, 0.25}, full, 2.0500, 5.0150, false},
      {"100 W SSB processed", {Mode::ssb_processed, 0.25}, full, 3.6250, 7.8342, false},
      {"100 W CW", {Mode::cw, 0.50}, full, 5.2000, 9.8793, true},
      {"100 W CW, PARIS",
       {Mode::cw, 0.50, Rhythm::share, {.text = "PARIS"}},
       full,
       5.6200,
       10.3566,
       true},
      {"100 W FT8", {Mode::ft8, 0.50}, full, 9.8480, 14.3005, true},
      {"QRP CW", {Mode::cw, 0.50}, low, 0.4600, 0.6943, true},
      {"QRP FT8", {Mode::ft8, 0.50}, low, 0.747733, 0.985468, true},
      {"QRP SSB", {Mode::ssb, 0.25}, low, 0.2650, 0.3879, false}};
  fmt::print("{:<20} {:>9} {:>9} {:>9} {:>9}\n", "10 h of", "mean A", "worked", "r.m.s. A",
             "worked");
  for (const Example& example : examples) {
    const Hour hours = hour_of(example.sending, 11, example.current, 10 * kHour_s);
    fmt::print("{:<20} {:9.4f} {:9.4f} {:9.4f} {:9.4f}\n", example.what, hours.mean_a(),
               example.mean_a, hours.rms_a(), example.rms_a);
    INFO(example.what);
    CHECK(hours.mean_a() == Approx(example.mean_a).epsilon(0.015));
    if (example.two_levels)
      CHECK(hours.rms_a() == Approx(example.rms_a).epsilon(0.01));
    else
      CHECK(hours.rms_a() < example.rms_a);
    Radio radio;
    radio.receive_a = example.current.receive_a;
    radio.transmit_peak_a = example.current.peak_a;
    radio.transmit_idle_a = example.current.idle_a;
    CHECK(mean_current_a(radio, example.sending) == Approx(example.mean_a));
  }
}

}  // namespace sagbench::bench
