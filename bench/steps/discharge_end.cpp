#include "bench/steps/discharge_end.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "analysis/sample_series.hpp"

namespace sagbench::bench {

using analysis::Pack;
using analysis::Sample;
using analysis::StepEnd;

namespace {

constexpr double kShortest_s = 0.05;
constexpr double kSharesOfTimeLeft = 12.0;  // at least so many samples before the expected end
constexpr std::size_t kRecent = 8;          // samples in a slope
constexpr double kGoneShare = 0.02;         // of the setpoint: less than this is no current
constexpr double kSettled_s = 0.2;          // a load may take this long to draw what was asked

}  // namespace

bool current_is_missing(const Sample& sample) {
  return sample.commanded_a > 0.0 &&
         sample.time_s - sample.commanded_since_s.value_or(0.0) > kSettled_s &&
         sample.current_a < kGoneShare * sample.commanded_a;
}

std::optional<StepEnd> end_reached(const Sample& sample, const Pack& pack) {
  if (current_is_missing(sample)) return StepEnd::protection_board;
  if (analysis::is_behind_the_end(sample, pack)) return StepEnd::end_of_discharge;
  const double cell_end_v = analysis::cell_end_of_discharge_v(pack);
  if (std::any_of(sample.cell_v.begin(), sample.cell_v.end(),
                  [&](double v) { return v <= cell_end_v; }))
    return StepEnd::cell_end_of_discharge;
  return std::nullopt;
}

std::string describe(StepEnd end, const Sample& sample, const Pack& pack) {
  const auto lowest = std::min_element(sample.cell_v.begin(), sample.cell_v.end());
  switch (end) {
    case StepEnd::end_of_discharge:
      return fmt::format("the pack reached its end-of-discharge voltage, {:.2f} V",
                         analysis::end_of_discharge_voltage_v(pack));
    case StepEnd::cell_end_of_discharge:
      return fmt::format("cell {} reached {:.2f} V while the pack still had {:.2f} V",
                         lowest - sample.cell_v.begin() + 1, *lowest, sample.voltage_v);
    case StepEnd::protection_board:
      return fmt::format(
          "the current vanished at {:.2f} A asked for: {}", sample.commanded_a,
          pack.protection_board ? "the protection board opened" : "a fuse or a lead opened");
    case StepEnd::supply_min:  // the radio's, not the pack's
    case StepEnd::completed:
    case StepEnd::skipped:
    case StepEnd::interrupted:
      break;
  }
  return "";
}

double Pace::Approach::left_s(double time_s, double voltage_v, double end_v) {
  recent_.emplace_back(time_s, voltage_v);
  if (recent_.size() > kRecent) recent_.pop_front();
  const double fallen_v = recent_.front().second - voltage_v;
  const double elapsed_s = time_s - recent_.front().first;
  if (fallen_v <= 0.0 || elapsed_s <= 0.0) return std::numeric_limits<double>::infinity();
  return std::max(0.0, voltage_v - end_v) / fallen_v * elapsed_s;
}

Pace::Pace(const Pack& pack, double base_s)
    : base_s_(base_s),
      end_v_(analysis::end_of_discharge_voltage_v(pack)),
      cell_end_v_(analysis::cell_end_of_discharge_v(pack)),
      cell_left_s_(std::numeric_limits<double>::infinity()) {}

double Pace::interval_s(const Sample& sample) {
  if (!sample.cell_v.empty())
    cell_left_s_ = cell_.left_s(
        sample.time_s, *std::min_element(sample.cell_v.begin(), sample.cell_v.end()), cell_end_v_);
  const double left_s =
      std::min(pack_.left_s(sample.time_s, sample.voltage_v, end_v_), cell_left_s_);
  return std::clamp(left_s / kSharesOfTimeLeft, kShortest_s, base_s_);
}

}  // namespace sagbench::bench
