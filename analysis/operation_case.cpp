#include "analysis/operation_case.hpp"

#include <cmath>

#include "analysis/rate_point.hpp"

namespace sagbench::analysis {

bool OperationCase::is_at_other_temperature() const noexcept {
  return operation.temperature_c && figures.capacity && figures.capacity->temperature_c &&
         std::abs(*operation.temperature_c - *figures.capacity->temperature_c) > kLikeTemperature_k;
}

bool OperationCase::is_colder() const noexcept {
  return is_at_other_temperature() && *operation.temperature_c < *figures.capacity->temperature_c;
}

}  // namespace sagbench::analysis
