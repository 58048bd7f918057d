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
  double most_s() const noexcept { return longest_s(count_ / kOneLeftOutOf); }
  /// What nine of ten of them took at most, and what half of them did. 0 before the first.
  double nine_of_ten_s() const noexcept { return longest_s(count_ / 10); }
  double median_s() const noexcept { return longest_s(count_ / 2); }
  std::size_t count() const noexcept { return count_; }

 private:
  double longest_s(std::size_t longer) const noexcept;

  std::array<double, kKept> taken_s_{};
  std::size_t count_ = 0;
  std::size_t next_ = 0;
};

}  // namespace sagbench::bench
