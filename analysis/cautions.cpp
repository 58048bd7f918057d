#include "analysis/cautions.hpp"

#include <algorithm>
#include <optional>

#include "analysis/capacity.hpp"
#include "analysis/cell_spread.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

using Caution = std::optional<std::string>;

// IEC 61960-3 measures capacity at 20 +/- 5 °C.
constexpr double kColdC = 15.0;
constexpr double kWarmC = 25.0;
/// Spread of the cells late in the discharge that points at a weak one (common practice, no
/// source). It is what a tenth less capacity makes there: the plateau cells lose about 5 mV a per
/// cent of charge, the sloping lithium ones about 10 mV. Sound cells, alike within a per cent or
/// two, stay far below.
double weak_cell_spread_v(Chemistry chemistry) {
  switch (chemistry) {
    case Chemistry::nmc:
    case Chemistry::nca:
    case Chemistry::lco:
      return 0.1;
    case Chemistry::lfp:
    case Chemistry::agm:
    case Chemistry::gel:
    case Chemistry::flooded:
    case Chemistry::nimh:
      return 0.05;
  }
  return 0.05;
}

Caution incomplete(const Recording& recording) {
  if (recording.complete) return std::nullopt;
  for (const Step& step : recording.steps)
    if (step.end == StepEnd::interrupted || step.end == StepEnd::skipped)
      return "The run is incomplete: the " + std::string(name_of(step.kind)) + " step was " +
             std::string(name_of(step.end)) + (step.why.empty() ? "" : ", " + step.why) + ".";
  return "The run is incomplete.";
}

/// "3 min" or "40 s".
std::string lapse(double seconds) {
  return seconds < 100.0 ? rounded(seconds, 0) + " s" : rounded(seconds / 60.0, 0) + " min";
}

std::string unwatched(const Gap& gap) {
  return "The run was cut short after " + lapse(gap.start_s) +
         (gap.why.empty() ? "" : " (" + gap.why + ")") + " and went on " +
         lapse(gap.end_s - gap.start_s) +
         " later: what the load drew until it switched itself off is known to within " +
         rounded(1000.0 * half_width_ah(gap), 1) +
         " mAh either way, and the pack rested meanwhile, which lets it give a little more than a "
         "discharge in one go, the more so the nearer its end was; the uncertainty allows for "
         "that.";
}

Caution low_capacity(const Recording& recording, const Figures& figures) {
  const auto share = too_little(recording.pack, figures.capacity);
  if (!share) return std::nullopt;
  return "The capacity is " + percent(*share) + " of the rating; below " + percent(kReplaceBelow) +
         " a pack is due for replacement (IEEE 450 and 1188 practice).";
}

Caution weak_cell(const Recording& recording, const Figures& figures) {
  if (!figures.cell_spread_v || !figures.weakest_cell) return std::nullopt;
  const double weak_v = weak_cell_spread_v(recording.pack.chemistry);
  if (*figures.cell_spread_v <= weak_v) return std::nullopt;
  const double early_v = figures.cell_spread_early_v.value_or(0.0);
  return "Cell " + std::to_string(*figures.weakest_cell) +
         ", counted from the negative end, is weak: with " + percent(kLate) +
         " of the discharge done it stood " + rounded(*figures.cell_spread_v, 2) +
         " V below the best cell. The pack gives no more ampere-hours than this cell" +
         (early_v > weak_v ? "; it stood " + rounded(early_v, 2) + " V below already after " +
                                 percent(kEarly) + ", which points at its resistance or a joint."
                           : ", whatever the others still hold.");
}

std::string limit_of(const Pack& pack) {
  return rounded(cell_end_of_discharge_v(pack), 2) + " V";
}

/// The load could not see it, so it was driven on.
Caution untapped_cell(const Recording& recording, const Figures& figures) {
  const auto& cells = figures.untapped_cells;
  if (cells && cells->one_alone)
    return "One cell was empty while the others still held" +
           (cells->confidence ? " (" + percent(*cells->confidence) + " sure)" : std::string()) +
           ": " + cells->because + ". That cell was driven to about " +
           rounded(cells->weakest_v.value_or(0.0), 1) + " V, its limit being " +
           limit_of(recording.pack) +
           "; a cell that was driven far below may take harm and be unsafe to charge. Measure "
           "each cell before this pack is charged or discharged again.";
  if (cells || recording.pack.series < 2 || figures.weakest_cell ||
      !too_little(recording.pack, figures.capacity))
    return std::nullopt;
  return "Whether all cells hold less or one of them is weak cannot be told: " + cells.why() +
         ". A weak one was driven far below its limit of " + limit_of(recording.pack) +
         " in this discharge; measure each cell before the next.";
}

Caution temperature(const Recording& recording, const Figures& figures) {
  const bool discharged = figures.capacity && figures.capacity->temperature_c;
  const auto mean_c =
      discharged ? figures.capacity->temperature_c : mean_temperature_c(recording.samples);
  if (!mean_c) return "The temperature was not measured.";
  if (*mean_c >= kColdC && *mean_c <= kWarmC) return std::nullopt;
  return "The mean temperature" + std::string(discharged ? " of the discharge" : "") + " was " +
         rounded(*mean_c, 1) + " °C, outside the 15 to 25 °C of IEC 61960-3.";
}

Caution board(const Recording& recording) {
  for (const Step& step : recording.steps)
    if (step.end == StepEnd::protection_board)
      return "The protection board opened in a " + std::string(name_of(step.kind)) + " step" +
             (step.why.empty() ? "." : ": " + step.why + ".");
  return std::nullopt;
}

Caution accuracies(const BenchAccuracy& accuracy) {
  if (accuracy.defaulted)
    return "The accuracy of an instrument is not stated; a wide default stands in.";
  const auto silent = [](const AccuracyTerm& term) {
    return term.of_reading == 0.0 && term.of_range == 0.0;
  };
  const bool no_voltage =
      silent(accuracy.meter_voltage ? *accuracy.meter_voltage : accuracy.load_voltage);
  if (!no_voltage && !silent(accuracy.load_current)) return std::nullopt;
  return "The accuracy of the instruments is unknown; the uncertainties hold noise and timing "
         "only.";
}

Caution no_meter(const Recording& recording) {
  const bool imported = std::ranges::any_of(
      recording.steps, [](const Step& step) { return step.kind == StepKind::imported; });
  if (recording.accuracy.meter_voltage || imported) return std::nullopt;
  return "The load's own voltage reading was used, since no meter was; where it does not sense at "
         "the pack it lacks the drop over the leads.";
}

Caution rated_reference(const Recording& recording, const Figures& figures) {
  if (figures.capacity || (figures.peaks.empty() && figures.on_air.empty())) return std::nullopt;
  return "States of charge are counted from the rated capacity of " +
         rounded(recording.pack.rated_capacity_ah, 2) + " Ah, since none was measured.";
}

}  // namespace

std::vector<std::string> cautions(const Recording& recording, const Figures& figures) {
  std::vector<std::string> found;
  for (Caution caution :
       {incomplete(recording), low_capacity(recording, figures), weak_cell(recording, figures),
        untapped_cell(recording, figures), board(recording), temperature(recording, figures),
        no_meter(recording), accuracies(recording.accuracy), rated_reference(recording, figures)})
    if (caution) found.push_back(*std::move(caution));
  for (const Gap& gap : recording.gaps) found.push_back(unwatched(gap));
  return found;
}

}  // namespace sagbench::analysis
