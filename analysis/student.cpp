#include "analysis/student.hpp"

#include <algorithm>
#include <array>

namespace sagbench::analysis {

double student_95(std::size_t freedom) noexcept {
  constexpr std::array kFactors = {12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23};
  return kFactors[std::min(freedom, kFactors.size()) - 1];
}

}  // namespace sagbench::analysis
