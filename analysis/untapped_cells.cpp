#include "analysis/untapped_cells.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/end_shape.hpp"
#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

using Missing = Finding<UntappedCells>;

constexpr double kSure = 0.95;

/// Natural logarithm of the steepening.
struct Expected {
  double mean;
  double sd;

  double log_density(double value, double value_u) const {
    const double u = std::hypot(sd, value_u);
    const double distance = (value - mean) / u;
    return -distance * distance / 2.0 - std::log(u);
  }
};

struct Hypotheses {
  Expected together, alone;
};

struct Kind {
  /// From simulated packs (docs/weak-cell.md). Nothing where both lead to the same.
  std::optional<Hypotheses> shape{};
  /// Highest voltage of a cell at which a protection board opens.
  std::optional<double> cut_off_v{};
};

Kind kind_of(Chemistry chemistry) {
  if (chemistry == Chemistry::lfp) return {Hypotheses{{0.9, 0.25}, {0.0, 0.25}}, 2.8};
  if (limits_of(chemistry).lithium) return {std::nullopt, 3.0};
  return {};
}

bool tapped(const Discharge& discharge) {
  return std::ranges::any_of(discharge.samples,
                             [](const Sample& sample) { return sample.cell_v.size() > 1; });
}

/// The board opened for one cell while the pack held more than all of them may have then.
std::optional<UntappedCells> by_board(const Pack& pack, const Discharge& discharge) {
  const auto cut_off_v = kind_of(pack.chemistry).cut_off_v;
  if (discharge.ended_by != StepEnd::protection_board || !cut_off_v) return std::nullopt;
  const double share_v = discharge.to_voltage_v / pack.series;
  if (!(share_v > *cut_off_v)) return std::nullopt;
  return UntappedCells{
      .one_alone = true,
      .weakest_v = *cut_off_v,
      .because = "the protection board opened, as it does for the lowest cell, at " +
                 rounded(discharge.to_voltage_v, 2) + " V: " + rounded(share_v, 2) +
                 " V for each cell if all were alike, and boards open at " +
                 rounded(*cut_off_v, 1) + " V or less"};
}

/// A cell that ran empty long before the others.
std::optional<UntappedCells> by_step(const Pack& pack, const Discharge& discharge) {
  constexpr double kLeast = 0.5;
  const auto step = voltage_step(discharge, kLeast * limits_of(pack.chemistry).nominal_v);
  if (!step) return std::nullopt;
  const double cell_v = step->before_v / pack.series;
  return UntappedCells{.one_alone = true,
                       .weakest_v = cell_v - (step->before_v - step->after_v),
                       .because = "the voltage fell from " + rounded(step->before_v, 2) + " V to " +
                                  rounded(step->after_v, 2) + " V on the way, until " +
                                  rounded(step->removed_ah, 2) +
                                  " Ah were removed, and then went on as flat as before"};
}

std::string shape_words(const EndShape& shape, const Hypotheses& expected) {
  return "the middle third of the fall at the end took " + rounded(shape.steepening, 2) +
         " times the charge of the last third; cells alike lead to about " +
         rounded(std::exp(expected.together.mean), 1) + ", one cell alone to about " +
         rounded(std::exp(expected.alone.mean), 1);
}

Missing by_shape(const Pack& pack, const Discharge& discharge) {
  const auto expected = kind_of(pack.chemistry).shape;
  if (!expected)
    return Missing::missing("the cells were not tapped, and the end of a discharge of " +
                            std::string(limits_of(pack.chemistry).name) +
                            " cells looks the same whether one of them is weak or none");
  const auto shape = end_shape(discharge);
  if (!shape) return Missing::missing("the cells were not tapped, and " + shape.why());
  const double found = std::log(shape->steepening);
  const double odds = expected->alone.log_density(found, shape->log_u) -
                      expected->together.log_density(found, shape->log_u);
  const double alone = 1.0 / (1.0 + std::exp(-odds));
  const double confidence = std::max(alone, 1.0 - alone);
  if (confidence < kSure)
    return Missing::missing("the cells were not tapped, and " + shape_words(*shape, *expected) +
                            ": that decides nothing");
  const double others_v = shape->before_v * (pack.series - 1) / pack.series;
  UntappedCells cells{.one_alone = alone > 0.5,
                      .confidence = confidence,
                      .steepening = shape->steepening,
                      .because = shape_words(*shape, *expected)};
  if (cells.one_alone) cells.weakest_v = discharge.to_voltage_v - others_v;
  return cells;
}

}  // namespace

Finding<UntappedCells> untapped_cells(const Recording& recording, const Discharge& discharge) {
  if (recording.pack.series < 2) return Missing::missing("the pack has one cell in series");
  if (tapped(discharge)) return Missing::missing("the cells were tapped");
  if (auto found = by_board(recording.pack, discharge)) return *std::move(found);
  if (auto found = by_step(recording.pack, discharge)) return *std::move(found);
  return by_shape(recording.pack, discharge);
}

}  // namespace sagbench::analysis
