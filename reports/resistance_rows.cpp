#include "reports/resistance_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <tuple>

#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

using analysis::Measured;
using analysis::Repeatability;
using analysis::StepPoint;
using analysis::StepResistance;

constexpr const char* kDash = "\xE2\x80\x93";
constexpr double kBestCharge = 0.5;

/// A standard deviation of few pulses is not known to more than two digits.
std::string spread_words(double ohm) {
  return quantity_text(1000.0 * ohm, "m\xCE\xA9", 2);
}

std::string repeats_words(const std::optional<Repeatability>& repeatability) {
  if (!repeatability) return "";
  return fmt::format("; {} pulses, standard deviation {}", repeatability->count,
                     spread_words(repeatability->standard_deviation));
}

std::string time_words(double seconds) {
  return seconds < 1.0 ? quantity_text(1000.0 * seconds, "ms") : quantity_text(seconds, "s");
}

TableRow row(const std::string& name, const Measured& ohm, const std::string& how) {
  return {name, resistance_text(ohm), number_text(ohm.coverage_factor), how};
}

/// Of the steps nearest to half charge the one that shows the latest time, and of those the largest
/// current.
const StepResistance* telling_step(const std::vector<StepResistance>& steps) {
  const auto told = [](const StepResistance& step) {
    return std::ranges::count_if(step.points,
                                 [](const StepPoint& point) { return bool(point.ohm); });
  };
  const StepResistance* best = nullptr;
  for (const StepResistance& step : steps) {
    if (told(step) == 0) continue;
    const auto key = [&](const StepResistance& of) {
      const double away = std::abs(of.charge - kBestCharge);
      constexpr double kSteps = 20.0;  // of charge: nearness in twentieths, the rest decides
      return std::tuple(-std::floor(kSteps * away), told(of), of.current_a);
    };
    if (best == nullptr || key(step) > key(*best)) best = &step;
  }
  return best;
}

void add_steps(const analysis::Resistances& resistances, std::vector<TableRow>& rows) {
  if (!resistances.steps) return;
  const StepResistance* step = telling_step(*resistances.steps);
  if (step == nullptr) return;
  for (const StepPoint& point : step->points) {
    if (!point.ohm) continue;
    rows.push_back(row(fmt::format("Resistance, {} step", time_words(point.after_s)), *point.ohm,
                       fmt::format("{} from rest at {} charge, read {} after the edge",
                                   quantity_text(step->current_a, "A"), percent_text(step->charge),
                                   time_words(point.read_after_s))));
  }
}

void add_repeatability(const analysis::Resistances& resistances, std::vector<TableRow>& rows) {
  for (const analysis::StepRepeatability& entry : resistances.repeatability)
    if (entry.after_s == 1.0)
      rows.push_back(
          {"Repeatability, 1 s step", resistance_text({entry.ohm.mean, 0.0, 2.0}), kDash,
           fmt::format("mean of {} peaks at {} charge; standard deviation {}", entry.ohm.count,
                       percent_text(entry.charge), spread_words(entry.ohm.standard_deviation))});
}

void add_cells(const analysis::Resistances& resistances, std::vector<TableRow>& rows) {
  if (!resistances.cells) return;
  for (const auto& cell : *resistances.cells)
    rows.push_back(row(fmt::format("Resistance, cell {}", cell.cell), cell.ohm,
                       fmt::format("{} after the edge, at {} charge{}", time_words(cell.after_s),
                                   percent_text(cell.charge), repeats_words(cell.repeatability))));
}

void add_two_point(const analysis::Resistances& resistances, std::vector<TableRow>& rows) {
  if (!resistances.two_point) return;
  const auto& found = *resistances.two_point;
  rows.push_back(
      row("Resistance, two points", found.ohm,
          fmt::format("IEC 60896-21: {} and {} at {} charge; open circuit {}{}",
                      quantity_text(found.low_a, "A"), quantity_text(found.high_a, "A"),
                      percent_text(found.charge), measured_text(found.open_circuit_v, "V"),
                      repeats_words(found.repeatability))));
  rows.push_back({"Short-circuit current", measured_text(found.short_circuit_a, "A"),
                  number_text(found.short_circuit_a.coverage_factor),
                  "from the same two points, never drawn"});
}

}  // namespace

TableRow two_current_row(const analysis::Figures& figures) {
  if (!figures.dc_resistance)
    return {"D.c. resistance", kDash, kDash, as_printed(figures.dc_resistance.why())};
  const auto& found = *figures.dc_resistance;
  std::string how = found.method;
  if (found.charge) how += ", at " + percent_text(*found.charge) + " charge";
  return row("D.c. resistance", found.ohm, how + repeats_words(found.repeatability));
}

std::vector<TableRow> resistance_rows(const analysis::Figures& figures) {
  const analysis::Resistances& resistances = figures.resistances;
  std::vector<TableRow> rows;
  if (figures.dc_resistance) rows.push_back(two_current_row(figures));
  add_two_point(resistances, rows);
  add_steps(resistances, rows);
  add_repeatability(resistances, rows);
  add_cells(resistances, rows);
  if (resistances.contact)
    rows.push_back(row("Leads and contacts", resistances.contact->ohm,
                       fmt::format("between the meter's and the load's sensing points; without "
                                   "current they differ by {}",
                                   measured_text(resistances.contact->offset_v, "V"))));
  return rows;
}

}  // namespace sagbench::reports
