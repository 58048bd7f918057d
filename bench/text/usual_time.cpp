#include "bench/text/usual_time.hpp"

#include <algorithm>
#include <functional>

namespace sagbench::bench {

void UsualTime::take(double seconds) noexcept {
  taken_s_[next_] = seconds;
  next_ = (next_ + 1) % kKept;
  count_ = std::min(count_ + 1, kKept);
}

/// The longest but so many.
double UsualTime::longest_s(std::size_t longer) const noexcept {
  if (count_ == 0) return 0.0;
  std::array<double, kKept> sorted_s = taken_s_;
  const auto end = sorted_s.begin() + static_cast<std::ptrdiff_t>(count_);
  const auto most = sorted_s.begin() + static_cast<std::ptrdiff_t>(longer);
  std::nth_element(sorted_s.begin(), most, end, std::greater<>());
  return *most;
}

}  // namespace sagbench::bench
