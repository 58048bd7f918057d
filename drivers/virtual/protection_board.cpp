#include "drivers/virtual/protection_board.hpp"

#include <algorithm>
#include <limits>

#include "analysis/chemistry.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr double kOverCurrent = 1.2;
constexpr double kShortCircuit = 3.0;
constexpr double kOverCurrentDelayS = 0.010;
constexpr double kLowVoltageDelayS = 0.050;
constexpr double kRecoveryS = 1.0;
constexpr double kUnstatedRateIt =
    2.0;  // current limit of a board for a pack that names none, in It

// Some chemistries end their discharge within 0.2 V of the floor; a board that opened there would
// be useless.
double low_voltage_v(const analysis::ChemistryLimits& limits) {
  return std::min(limits.floor_v + 0.2, limits.end_of_discharge_v - 0.05);
}

void count(double& lasted_s, bool present, double elapsed_s) {
  if (!present) {
    lasted_s = -1.0;
  } else {
    lasted_s = lasted_s < 0.0 ? 0.0 : lasted_s + elapsed_s;
  }
}

double left(double lasted_s, double delay_s) {
  return lasted_s < 0.0 ? std::numeric_limits<double>::infinity() : delay_s - lasted_s;
}

}  // namespace

ProtectionBoard::ProtectionBoard(const analysis::Pack& pack)
    : current_limit_a_(
          pack.max_discharge_current_a.value_or(kUnstatedRateIt * pack.rated_capacity_ah)),
      low_v_(low_voltage_v(analysis::limits_of(pack.chemistry))),
      recovered_v_(low_v_ + (analysis::limits_of(pack.chemistry).lithium ? 0.4 : 0.2)) {}

void ProtectionBoard::observe(double current_a, double lowest_cell_v, bool load_released,
                              double elapsed_s) {
  if (!open_) {
    watch(current_a, lowest_cell_v, elapsed_s);
    return;
  }
  count(recovered_s_, load_released && lowest_cell_v > recovered_v_, elapsed_s);
  if (recovered_s_ >= kRecoveryS) reset();
}

void ProtectionBoard::watch(double current_a, double lowest_cell_v, double elapsed_s) {
  count(over_current_s_, current_a > kOverCurrent * current_limit_a_, elapsed_s);
  count(low_voltage_s_, lowest_cell_v < low_v_, elapsed_s);
  open_ = current_a > kShortCircuit * current_limit_a_ || over_current_s_ >= kOverCurrentDelayS ||
          low_voltage_s_ >= kLowVoltageDelayS;
  if (open_) recovered_s_ = -1.0;
}

double ProtectionBoard::look_again_within_s() const noexcept {
  constexpr double kShortestLookS = 0.001;
  const double next = open_ ? left(recovered_s_, kRecoveryS)
                            : std::min(left(over_current_s_, kOverCurrentDelayS),
                                       left(low_voltage_s_, kLowVoltageDelayS));
  return std::max(next, kShortestLookS);
}

void ProtectionBoard::force_open() noexcept {
  open_ = true;
  recovered_s_ = -1.0;
}

void ProtectionBoard::reset() {
  open_ = false;
  over_current_s_ = low_voltage_s_ = recovered_s_ = -1.0;
}

}  // namespace sagbench::drivers::virtual_bench
