#include "reports/comparison_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>
#include <utility>

#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

using analysis::Rating;

const Rating* rating_of(const ReportInput& input, analysis::RadioClass radio_class) {
  for (const Rating& rating : input.figures.ratings) {
    if (rating.radio_class == radio_class) return &rating;
  }
  return nullptr;
}

ComparisonRow row_of(const ReportInput& input) {
  ComparisonRow row;
  row.input = &input;
  row.qrp = rating_of(input, analysis::RadioClass::qrp);
  row.qro = rating_of(input, analysis::RadioClass::qro);
  if (row.qro != nullptr) row.usable_qro_ah = row.qro->usable_capacity_ah;
  const auto mass = input.recording.pack.mass_kg;
  if (input.figures.capacity && mass && *mass > 0.0) {
    row.energy_per_mass_wh_kg = input.figures.capacity->energy_wh.value / *mass;
  }
  return row;
}

bool is_minimum(const ComparisonRow& row) {
  return row.usable_qro_ah && row.qro->usable_is_minimum;
}

// (group, value): the lower group comes first, within it the greater value.
std::pair<int, double> sort_key(const ComparisonRow& row) {
  if (row.usable_qro_ah) return {0, *row.usable_qro_ah};
  if (row.input->figures.capacity) return {1, row.input->figures.capacity->charge_ah.value};
  return {2, 0.0};
}

// `b` follows `a`.
bool is_tie(const ComparisonRow& a, const ComparisonRow& b) {
  const auto [group_a, value_a] = sort_key(a);
  const auto [group_b, value_b] = sort_key(b);
  const auto &capacity_a = a.input->figures.capacity, &capacity_b = b.input->figures.capacity;
  if (group_a != group_b || !capacity_a || !capacity_b) return false;
  const double combined = std::hypot(capacity_a->charge_ah.expanded_uncertainty,
                                     capacity_b->charge_ah.expanded_uncertainty);
  // The minimum may have gone on as far as the pack holds.
  const double reach_b = is_minimum(b) && !is_minimum(a) ? capacity_b->charge_ah.value : value_b;
  return value_a - reach_b < combined;
}

struct Spread {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();

  void take(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
  bool wider_than(double tolerance) const { return high - low > tolerance; }
};

std::string from_to(const Spread& spread, std::string_view unit) {
  return number_text(spread.low) + " to " + quantity_text(spread.high, unit);
}

}  // namespace

std::vector<ComparisonRow> comparison_rows(const std::vector<ReportInput>& inputs) {
  std::vector<ComparisonRow> rows;
  rows.reserve(inputs.size());
  for (const ReportInput& input : inputs) rows.push_back(row_of(input));
  std::stable_sort(rows.begin(), rows.end(), [](const ComparisonRow& a, const ComparisonRow& b) {
    const auto [group_a, value_a] = sort_key(a);
    const auto [group_b, value_b] = sort_key(b);
    return std::tuple(group_a, -value_a) < std::tuple(group_b, -value_b);
  });
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows[i].tie = i > 0 && is_tie(rows[i - 1], rows[i]);
    rows[i].rank = rows[i].tie ? rows[i - 1].rank : static_cast<int>(i) + 1;
  }
  return rows;
}

std::vector<std::string> unlike_conditions(const std::vector<ReportInput>& inputs) {
  // Temperature within 5 K counts as one: the width IEC 61960-3 allows the test room (20 +/- 5
  // degC, seen second-hand).
  constexpr double kSameTemperature = 5.0, kSameRate = 0.005, kSameCellVoltage = 0.02;
  Spread rate, temperature;
  std::map<analysis::Chemistry, Spread> end_voltage;
  bool temperature_unknown = false;
  for (const ReportInput& input : inputs) {
    if (!input.figures.capacity) continue;
    const auto& capacity = *input.figures.capacity;
    const auto& pack = input.recording.pack;
    rate.take(capacity.rate_it);
    if (capacity.temperature_c) temperature.take(*capacity.temperature_c);
    temperature_unknown = temperature_unknown || !capacity.temperature_c;
    // The voltage asked for, not the one reached: a weak cell that ends it early is a result, not a
    // condition.
    end_voltage[pack.chemistry].take(analysis::end_of_discharge_voltage_v(pack) /
                                     std::max(1, pack.series));
  }
  std::vector<std::string> lines;
  if (rate.wider_than(kSameRate + 0.1 * rate.low)) {
    lines.push_back(
        fmt::format("Rates differ, {}: a slower discharge gives more.", from_to(rate, "It")));
  }
  if (temperature.wider_than(kSameTemperature)) {
    lines.push_back(
        fmt::format("Temperatures differ, {}: a cold pack gives less.", from_to(temperature,
                                                                                "\xC2\xB0"
                                                                                "C")));
  }
  if (temperature_unknown) lines.emplace_back("Some runs did not measure temperature.");
  for (const auto& [chemistry, spread] : end_voltage) {
    if (!spread.wider_than(kSameCellVoltage)) continue;
    lines.push_back(
        fmt::format("{} runs had different end voltages, {} a cell: a lower end gives more.",
                    analysis::limits_of(chemistry).name, from_to(spread, "V")));
  }
  return lines;
}

std::vector<std::string> early_ends(const std::vector<ReportInput>& inputs) {
  std::vector<std::string> lines;
  for (const ReportInput& input : inputs) {
    if (!input.figures.capacity) continue;
    const std::string& name = input.recording.pack.name;
    switch (input.figures.capacity->ended_by) {
      case analysis::StepEnd::cell_end_of_discharge:
        lines.push_back(name + " ended early: its weakest cell was empty.");
        break;
      case analysis::StepEnd::protection_board:
        lines.push_back(name + " ended early: its protection board opened.");
        break;
      default:
        break;
    }
  }
  return lines;
}

}  // namespace sagbench::reports
