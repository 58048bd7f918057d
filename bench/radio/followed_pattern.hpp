#pragma once
// The operator's pattern as the load can follow it.

#include <deque>
#include <optional>
#include <string>
#include <vector>

#include "bench/radio/radio_pattern.hpp"
#include "bench/radio/reduction.hpp"

namespace sagbench::bench {

/// Gives the pattern as it is until slow_to() says what the load can follow; from the next over on
/// each over is then what reduce() makes of it, by its currents at the nominal supply. Reception
/// stands as it is: it is long. Of an over that does not end each minute counts as one.
class FollowedPattern {
 public:
  FollowedPattern(const Sending& sending, std::uint64_t seed, const analysis::Radio& radio);

  void slow_to(const Agility& load) { load_ = load; }
  bool slowed() const noexcept { return load_.has_value(); }
  Segment next();
  /// What next() will give.
  const Segment& peek();
  /// How much of the pattern next() has given so far, in seconds.
  double position_s() const noexcept { return position_s_; }

  /// Why the first over that was to be followed cannot be; empty while it can.
  const std::string& refused() const noexcept { return refused_; }
  /// For the record: what was done to the pattern. Empty while it stands.
  std::string account() const;

 private:
  /// Charge, squares and peak of all overs looked at.
  struct Sum {
    double seconds = 0.0, charge_as = 0.0, square_a2s = 0.0, peak_a = 0.0;
    void add(const analysis::CurrentFigures& figures);
    std::string words() const;
  };

  void take_over();
  void make_playable(std::vector<Segment> over);
  double current_a(const Segment& segment) const;
  double level_of(double current_a) const;

  RadioPattern pattern_;
  analysis::Radio radio_;
  std::optional<Agility> load_;
  std::deque<Segment> ready_;
  std::optional<Segment> ahead_;  // taken from the pattern, behind what is ready
  double position_s_ = 0.0;
  Sum asked_, expected_;
  long overs_ = 0, reduced_ = 0, as_they_are_ = 0;
  std::string refused_;
};

}  // namespace sagbench::bench
