#include "bench/radio/followed_pattern.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace sagbench::bench {
namespace {

using drivers::ListPoint;

constexpr double kLongestOver_s = 60.0;

std::string aim_of(const Agility& load) {
  std::string stands = fmt::format("a current stands {:.0f} ms or more", 1000.0 * load.shortest_s);
  if (std::isinf(load.slew_a_per_s)) return stands;
  return stands + fmt::format(" and changes by {:g} A/s", load.slew_a_per_s);
}

}  // namespace

FollowedPattern::FollowedPattern(const Sending& sending, std::uint64_t seed,
                                 const analysis::Radio& radio)
    : pattern_(sending, seed), radio_(radio) {}

void FollowedPattern::Sum::add(const analysis::CurrentFigures& figures) {
  seconds += figures.duration_s;
  charge_as += figures.mean_a * figures.duration_s;
  square_a2s += figures.rms_a * figures.rms_a * figures.duration_s;
  peak_a = std::max(peak_a, figures.peak_a);
}

std::string FollowedPattern::Sum::words() const {
  return fmt::format("mean {:.3f} A, r.m.s. {:.3f} A, peak {:.3f} A", charge_as / seconds,
                     std::sqrt(square_a2s / seconds), peak_a);
}

double FollowedPattern::current_a(const Segment& segment) const {
  return std::lerp(radio_.transmit_idle_a, radio_.transmit_peak_a, segment.level);
}

/// Of a radio whose idle current is its peak every level is the same.
double FollowedPattern::level_of(double current_a) const {
  const double swing_a = radio_.transmit_peak_a - radio_.transmit_idle_a;
  if (!(swing_a > 0.0)) return 1.0;
  return std::clamp((current_a - radio_.transmit_idle_a) / swing_a, 0.0, 1.0);
}

const Segment& FollowedPattern::peek() {
  if (ready_.empty()) take_over();
  return ready_.front();
}

Segment FollowedPattern::next() {
  const Segment segment = peek();
  ready_.pop_front();
  position_s_ += segment.seconds;
  return segment;
}

void FollowedPattern::take_over() {
  Segment segment = ahead_ ? *ahead_ : pattern_.next();
  ahead_.reset();
  if (!load_ || !segment.transmitting) {
    ready_.push_back(segment);
    return;
  }
  std::vector<Segment> over;
  double seconds = 0.0;
  while (segment.transmitting && seconds < kLongestOver_s) {
    over.push_back(segment);
    seconds += segment.seconds;
    segment = pattern_.next();
  }
  ahead_ = segment;
  make_playable(std::move(over));
}

void FollowedPattern::make_playable(std::vector<Segment> over) {
  std::vector<ListPoint> points;
  points.reserve(over.size());
  for (const Segment& segment : over) points.push_back({current_a(segment), segment.seconds});
  const Reduction reduction = reduce(points, *load_);
  ++overs_;
  if (!reduction.refused.empty() && overs_ == 1)
    refused_ = fmt::format("{}; here a current has to stand {:.0f} ms or more", reduction.refused,
                           1000.0 * load_->shortest_s);
  if (reduction.points.empty()) ++as_they_are_;
  if (reduction.points.empty() || (!reduction.reduced && load_->step_a <= 0.0)) {
    ready_.assign(over.begin(), over.end());
    return;
  }
  if (reduction.reduced) ++reduced_;
  asked_.add(reduction.asked);
  expected_.add(reduction.expected);
  for (const ListPoint& point : reduction.points)
    ready_.push_back({point.dwell_s, true, level_of(point.current_a)});
}

std::string FollowedPattern::account() const {
  if (reduced_ == 0 && as_they_are_ == 0) return "";
  std::string text;
  if (reduced_ > 0)
    text = fmt::format(
        "Pattern reduced in {} of {} overs, so that {}: asked {}; as reduced {} (each over within "
        "{:g} % of mean, {:g} % of r.m.s., {:g} % of peak, at the "
        "nominal supply)",
        reduced_, overs_, aim_of(*load_), asked_.words(), expected_.words(), 100.0 * kMeanWithin,
        100.0 * kRmsWithin, 100.0 * kPeakWithin);
  if (as_they_are_ > 0)
    text += fmt::format(
        "{}{} of {} overs could not be reduced within the bounds and were sent as "
        "they are",
        text.empty() ? "" : "; ", as_they_are_, overs_);
  return text;
}

}  // namespace sagbench::bench
