#pragma once
// The figure that a comparison is sorted by.

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "analysis/conditions.hpp"
#include "reports/run_digest.hpp"

namespace sagbench::reports {

enum class SortBy {
  usable_qrp,
  usable_qro,
  energy_per_kg,
  capacity_per_price,
  capacity,
  resistance,
  age
};

struct SortWords {
  std::string_view name;   // on the command line
  std::string_view title;  // "charge usable on a QRO radio"
  std::string_view head;   // of its column
  std::string_view unit;
  bool less_is_better = false;
};

const SortWords& words_on(SortBy by) noexcept;
/// All names, in the order in which messages list them.
std::span<const std::string_view> sort_names() noexcept;
std::optional<SortBy> sort_by_from(std::string_view name) noexcept;

/// What a run has of it.
struct SortFigure {
  analysis::Finding<analysis::Measured> value;  // in words_on(by).unit
  bool is_minimum = false;
  /// Up to where a minimum may go: what the pack holds.
  std::optional<double> reach;
  analysis::Conditions conditions;  // that change this figure
};

SortFigure sort_figure(const RunDigest& run, SortBy by);

/// Mean capacity a unit of currency, in mAh; energy a kilogram; age at the test in years.
analysis::Finding<analysis::Measured> capacity_per_price_mah(const RunDigest& run);
analysis::Finding<analysis::Measured> energy_per_kg_wh(const RunDigest& run);
analysis::Finding<double> age_years(const RunDigest& run);

}  // namespace sagbench::reports
