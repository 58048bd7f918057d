#include "analysis/operation_case.hpp"

#include <cmath>

namespace sagbench::analysis {
namespace {

constexpr double kSameTemperature_k = 5.0;

}  // namespace

bool OperationCase::is_at_other_temperature() const noexcept {
  return operation.temperature_c && figures.capacity && figures.capacity->temperature_c &&
         std::abs(*operation.temperature_c - *figures.capacity->temperature_c) > kSameTemperature_k;
}

bool OperationCase::is_colder() const noexcept {
  return is_at_other_temperature() && *operation.temperature_c < *figures.capacity->temperature_c;
}

}  // namespace sagbench::analysis
