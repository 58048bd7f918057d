#include "bench/radio/voice.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "catch.hpp"
#include "same_seed.hpp"

namespace sagbench::bench {
namespace {

constexpr double kStep_s = 0.05;

struct Heard {
  std::vector<double> levels;  // of all phrases
  std::vector<std::vector<double>> phrases;
  std::vector<double> pauses_s;
  double all_s = 0.0, level_s = 0.0;
};

Heard listen(bool processed, double seconds, std::uint64_t seed) {
  Voice voice(processed, kStep_s, seed);
  Heard heard;
  heard.phrases.emplace_back();
  while (heard.all_s < seconds) {
    const Segment segment = voice.next();
    heard.all_s += segment.seconds;
    heard.level_s += segment.seconds * segment.level;
    if (segment.level == 0.0) {
      heard.pauses_s.push_back(segment.seconds);
      heard.phrases.emplace_back();
    } else {
      heard.levels.push_back(segment.level);
      heard.phrases.back().push_back(segment.level);
    }
  }
  return heard;
}

double mean(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

double correlation(const Heard& heard, std::size_t lag) {
  const double mean_level = mean(heard.levels);
  double product = 0.0, square = 0.0;
  std::size_t pairs = 0;
  for (const auto& phrase : heard.phrases) {
    for (std::size_t i = 0; i + lag < phrase.size(); ++i, ++pairs) {
      product += (phrase[i] - mean_level) * (phrase[i + lag] - mean_level);
      square += (phrase[i] - mean_level) * (phrase[i] - mean_level);
    }
  }
  REQUIRE(pairs > 1000);
  return product / square;
}

}  // namespace

// Exponential magnitudes (a Laplacian source), limited at 1: the share below y is
// 1 - exp(-y / scale), with scale (1 - exp(-1 / scale)) = 0.20 / 0.75.
TEST_CASE("levels of phrases have the distribution of speech") {
  Heard heard = listen(false, 20000.0, 3);
  std::sort(heard.levels.begin(), heard.levels.end());
  const double scale = 0.2736;
  CHECK(scale * (1.0 - std::exp(-1.0 / scale)) == Approx(0.2 / 0.75).epsilon(0.001));
  double worst = 0.0;
  for (std::size_t i = 0; i < heard.levels.size(); ++i) {
    if (heard.levels[i] >= 1.0) break;
    const double share = static_cast<double>(i) / static_cast<double>(heard.levels.size());
    worst = std::max(worst, std::abs(share - (1.0 - std::exp(-heard.levels[i] / scale))));
  }
  CHECK(worst < 0.01);
  const auto limited = std::count(heard.levels.begin(), heard.levels.end(), 1.0);
  CHECK(static_cast<double>(limited) / static_cast<double>(heard.levels.size()) ==
        Approx(std::exp(-1.0 / scale)).margin(0.004));
}

TEST_CASE("processing raises the mean and keeps the peak") {
  const Heard heard = listen(true, 20000.0, 3);
  CHECK(heard.level_s / heard.all_s == Approx(0.50).margin(0.01));
  CHECK(*std::max_element(heard.levels.begin(), heard.levels.end()) == 1.0);
}

TEST_CASE("syllables come at 4 to 5 a second") {
  const Heard heard = listen(false, 20000.0, 4);
  // Half a syllable on the level has turned, a whole one on it is back.
  CHECK(correlation(heard, 4) > 0.1);
  CHECK(correlation(heard, 4) > 2.0 * correlation(heard, 2));
  CHECK(correlation(heard, 4) > correlation(heard, 3));
  CHECK(correlation(heard, 4) > correlation(heard, 6));
}

TEST_CASE("phrases of a second and pauses share the time three to one") {
  const Heard heard = listen(false, 20000.0, 5);
  const double phrases_s = static_cast<double>(heard.levels.size()) * kStep_s;
  CHECK(phrases_s / static_cast<double>(heard.phrases.size()) == Approx(1.0).epsilon(0.03));
  CHECK(phrases_s / heard.all_s == Approx(0.75).margin(0.01));
  CHECK(*std::min_element(heard.pauses_s.begin(), heard.pauses_s.end()) >= 0.2);
  CHECK(mean(heard.pauses_s) == Approx(1.0 / 3.0).epsilon(0.03));
}

TEST_CASE("the mean does not hang on how long a level stands") {
  for (const double step_s : {0.01, 0.05, 0.2}) {
    Voice voice(false, step_s, 6);
    double all_s = 0.0, level_s = 0.0;
    while (all_s < 20000.0) {
      const Segment segment = voice.next();
      all_s += segment.seconds;
      level_s += segment.seconds * segment.level;
    }
    INFO(step_s);
    CHECK(level_s / all_s == Approx(0.20).margin(0.006));
  }
}

TEST_CASE("the same seed speaks the same") {
  testing::check_same_by_seed(Voice(false, kStep_s, 9), Voice(false, kStep_s, 9),
                              Voice(false, kStep_s, 10));
}

}  // namespace sagbench::bench
