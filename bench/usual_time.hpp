#pragma once
// How long something takes, by the last times.

#include <array>
#include <cstddef>

namespace sagbench::bench {

class UsualTime {
 public:
  static constexpr std::size_t kKept = 64;
  static constexpr std::size_t kOneLeftOutOf = 32;

  void take(double seconds) noexcept;
  /// The longest of the last kKept times; one of every kOneLeftOutOf is left out, the longest
  /// first, so that a lost answer is not waited for again and again. 0 before the first.
  double most_s() const noexcept;

 private:
  std::array<double, kKept> taken_s_{};
  std::size_t count_ = 0;
  std::size_t next_ = 0;
};

}  // namespace sagbench::bench
