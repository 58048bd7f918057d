#include "bench/radio/overs.hpp"

#include <array>
#include <span>
#include <utility>

namespace sagbench::bench {
namespace {

constexpr std::uint64_t kStream = 101;
constexpr double kCycle_s = 60.0;  // of an over and a reception, where only the share is kept

struct Length {
  double shortest_s, longest_s;
};

// Call, report, four times chat, farewell.
constexpr std::array kConversation = {Length{12, 25}, Length{15, 35}, Length{20, 90},
                                      Length{20, 90}, Length{20, 90}, Length{10, 60},
                                      Length{8, 20}};
// Call, report, thanks.
constexpr std::array kExchange = {Length{3, 6}, Length{2, 4}, Length{1, 2}};

std::span<const Length> script_of(Rhythm rhythm) {
  if (rhythm == Rhythm::qso) return kConversation;
  return kExchange;
}

}  // namespace

Overs::Overs(Rhythm rhythm, double share, std::uint64_t seed)
    : rhythm_(rhythm), share_(share), random_(seed, kStream) {}

double Overs::over_s() {
  if (rhythm_ == Rhythm::share) return kCycle_s * share_;
  const auto script = script_of(rhythm_);
  const Length& length = script[stage_];
  stage_ = (stage_ + 1) % script.size();
  return random_.uniform(length.shortest_s, length.longest_s);
}

void Overs::sent(double seconds) noexcept {
  owed_s_ += seconds * (1.0 - share_) / share_;
}

double Overs::reception_s() {
  if (rhythm_ == Rhythm::share) return std::exchange(owed_s_, 0.0);
  // Half to all of what is owed: it never runs out, and what is left over does not pile up.
  const double seconds = owed_s_ * random_.uniform(0.5, 1.0);
  owed_s_ -= seconds;
  return seconds;
}

}  // namespace sagbench::bench
