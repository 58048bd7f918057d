#include "analysis/gap.hpp"

namespace sagbench::analysis {

double most_ah(const Gap& gap) noexcept {
  return gap.current_a * gap.longest_on_s / 3600.0;
}

double middle_ah(const Gap& gap) noexcept {
  return most_ah(gap) / 2.0;
}

double half_width_ah(const Gap& gap) noexcept {
  return most_ah(gap) / 2.0;
}

}  // namespace sagbench::analysis
