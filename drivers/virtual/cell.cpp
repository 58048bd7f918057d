#include "drivers/virtual/cell.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr double kSecondsPerHour = 3600.0;
constexpr double kSurfaceFrom =
    0.96;  // state of charge above which a fresh charge leaves surface voltage

double arrhenius(double activation_k, double temperature_c) {
  constexpr double kZeroCelsius = 273.15;
  constexpr double kReference = kZeroCelsius + 25.0;
  return std::exp(activation_k * (1.0 / (kZeroCelsius + temperature_c) - 1.0 / kReference));
}

}  // namespace

StepFactors::StepFactors(const CellType& type, double step, double temperature)
    : step_s(step),
      temperature_c(temperature),
      ohmic_scale(arrhenius(type.ohmic_activation_k, temperature)),
      branch_scale(arrhenius(type.branch_activation_k, temperature)),
      kept{},
      exchange_per_s(type.exchange_per_s / arrhenius(type.exchange_activation_k, temperature)),
      wells_kept(std::exp(-step * exchange_per_s)) {
  for (std::size_t i = 0; i < kBranches; ++i) kept[i] = std::exp(-step / type.branch_tau_s[i]);
}

Cell::Cell(const CellType& type, const OpenCircuitCurve& curve, double rated_ah,
           double capacity_factor, double resistance_factor)
    : type_(&type),
      curve_(&curve),
      capacity_ah_(rated_ah * capacity_factor * type.store_per_rated),
      ohmic_ohm_(type.ohmic_ohm_ah * resistance_factor / rated_ah),
      branch_ohm_{} {
  for (std::size_t i = 0; i < kBranches; ++i) {
    branch_ohm_[i] = type.branch_ohm_ah[i] * resistance_factor / rated_ah;
  }
  settle();
}

void Cell::fill(double charge) {
  charge_ = charge;
  difference_ = 0.0;
  history_ = 1.0;
  branch_v_.fill(0.0);
  settle();
}

void Cell::discharge(double current_a, const StepFactors& factors) {
  const double rate_per_s = current_a / (capacity_ah_ * kSecondsPerHour);
  const double difference_end = rate_per_s / (type_->available_share * factors.exchange_per_s);
  difference_ = difference_end + (difference_ - difference_end) * factors.wells_kept;
  charge_ -= rate_per_s * factors.step_s;
  history_ *= std::exp(-type_->hysteresis_per_charge * rate_per_s * factors.step_s);
  for (std::size_t i = 0; i < kBranches; ++i) {
    const double end_v = current_a * branch_ohm_[i] * rise_ * factors.branch_scale;
    branch_v_[i] = end_v + (branch_v_[i] - end_v) * factors.kept[i];
  }
  settle();
}

double Cell::heat_w(double current_a, const StepFactors& factors) const noexcept {
  double heat = current_a * current_a * ohmic_ohm(factors.ohmic_scale);
  for (std::size_t i = 0; i < kBranches; ++i) {
    heat += branch_v_[i] * branch_v_[i] / (branch_ohm_[i] * rise_ * factors.branch_scale);
  }
  return heat;
}

void Cell::settle() {
  const double level = charge_ - (1.0 - type_->available_share) * difference_;
  const double lack = 1.0 - std::clamp(level / type_->empty_rise_below, 0.0, 1.0);
  rise_ = 1.0 + type_->empty_rise * lack * lack;
  const double surface = std::clamp((level - kSurfaceFrom) / (1.0 - kSurfaceFrom), 0.0, 1.0);
  source_v_ = curve_->voltage_v(level) +
              history_ * (type_->hysteresis_v + type_->surface_v * surface * surface);
  for (const double branch_v : branch_v_) source_v_ -= branch_v;
}

}  // namespace sagbench::drivers::virtual_bench
