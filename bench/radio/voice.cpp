#include "bench/radio/voice.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "analysis/radio.hpp"

namespace sagbench::bench {
namespace {

constexpr std::uint64_t kStream = 103;
constexpr double kSpeechShare = 0.75;  // of an over's time
constexpr double kPhrase_s = 1.0, kShortestPause_s = 0.2;
constexpr double kPause_s = kPhrase_s * (1.0 - kSpeechShare) / kSpeechShare;
// A syllable is half a swing: its magnitude is looked at.
constexpr double kSwing_hz = 4.5 / 2.0, kBandwidth_hz = 1.0;
constexpr double kAsSpoken = 1.0, kProcessed = 0.5;

/// Mean of min(1, scale * e^exponent) of an exponential e of mean 1: the integral of the chance to
/// be above y, exp(-(y / scale)^(1 / exponent)), from 0 to 1.
double limited_mean(double scale, double exponent) {
  if (exponent == kAsSpoken) return -scale * std::expm1(-1.0 / scale);
  return scale * std::sqrt(std::numbers::pi) / 2.0 * std::erf(1.0 / scale);
}

double scale_for(double mean, double exponent) {
  double low = 0.01, high = 100.0;
  for (int i = 0; i < 100; ++i) {
    const double middle = (low + high) / 2.0;
    (limited_mean(middle, exponent) < mean ? low : high) = middle;
  }
  return low;
}

double duty(bool processed) {
  return analysis::duty_factor(processed ? analysis::Mode::ssb_processed : analysis::Mode::ssb);
}

}  // namespace

Voice::Voice(bool processed, double step_s, std::uint64_t seed)
    : step_s_(step_s),
      exponent_(processed ? kProcessed : kAsSpoken),
      scale_(scale_for(duty(processed) / kSpeechShare, exponent_)),
      random_(seed, kStream) {
  swing_ = random_.normal();
  quadrature_ = random_.normal();
}

/// A rotation that forgets and is refreshed: a Gaussian process about kSwing_hz.
void Voice::swing() {
  const double angle = 2.0 * std::numbers::pi * kSwing_hz * step_s_;
  const double kept = std::exp(-std::numbers::pi * kBandwidth_hz * step_s_);
  const double fresh = std::sqrt(1.0 - kept * kept);
  const double turned = kept * (swing_ * std::cos(angle) - quadrature_ * std::sin(angle));
  quadrature_ =
      kept * (swing_ * std::sin(angle) + quadrature_ * std::cos(angle)) + fresh * random_.normal();
  swing_ = turned + fresh * random_.normal();
}

/// The magnitude of a normal value, taken to the exponential one of the same rank.
double Voice::level() const {
  const double exponential = -std::log(std::erfc(std::abs(swing_) / std::numbers::sqrt2));
  return std::min(1.0, scale_ * std::pow(exponential, exponent_));
}

Segment Voice::pause() {
  const double more_s = kPause_s - kShortestPause_s;
  return {kShortestPause_s - more_s * std::log1p(-random_.uniform(0.0, 1.0)), true, 0.0};
}

Segment Voice::next() {
  if (steps_left_ == 0) {
    pause_next_ = !pause_next_;
    if (!pause_next_) return pause();
    // Whole steps of the phrase's mean length: a geometric number.
    const double draw = std::log1p(-random_.uniform(0.0, 1.0));
    steps_left_ = 1 + static_cast<std::int64_t>(draw / std::log1p(-step_s_ / kPhrase_s));
  }
  --steps_left_;
  swing();
  return {step_s_, true, level()};
}

}  // namespace sagbench::bench
