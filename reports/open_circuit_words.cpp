#include "reports/open_circuit_words.hpp"

#include <fmt/format.h>

#include <cmath>

#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

using analysis::ChargeEstimate;
using analysis::ChargeInterval;
using analysis::OpenCircuitCurve;

constexpr const char* kDash = "\xE2\x80\x93";

std::string millivolts(double volts) {
  return quantity_text(1000.0 * volts, "mV");
}

std::string how(const OpenCircuitCurve& curve) {
  std::string text = "from " + made_from(curve);
  if (curve.slow) text += " at " + quantity_text(curve.slow->rate_it, "It");
  if (curve.difference)
    text += fmt::format("; {} rest{} differ from it by {} at most", curve.difference->rests,
                        curve.difference->rests == 1 ? "" : "s",
                        millivolts(std::abs(curve.difference->largest_v)));
  return text + (curve.hysteresis
                     ? fmt::format("; hysteresis at {} charges", curve.hysteresis->size())
                     : std::string("; hysteresis not measured"));
}

TableRow curve_row(const analysis::Figures& figures) {
  constexpr const char* kName = "Open-circuit curve";
  if (!figures.open_circuit) return {kName, kDash, kDash, as_printed(figures.open_circuit.why())};
  const OpenCircuitCurve& curve = *figures.open_circuit;
  const auto& full = curve.points.front();
  const auto& empty = curve.points.back();
  return {
      kName,
      fmt::format("{} at {} charge to {} at {}", measured_text(full.voltage_v, "V"),
                  percent_text(curve.charge(full.removed_ah)), measured_text(empty.voltage_v, "V"),
                  percent_text(curve.charge(empty.removed_ah))),
      number_text(full.voltage_v.coverage_factor), how(curve)};
}

std::string interval_words(const ChargeInterval& interval) {
  return percent_text(interval.charge) + ", 95 % within " + percent_text(interval.low) + " to " +
         percent_text(interval.high);
}

/// The best of what is known, and what it was made of.
TableRow charge_row(const ChargeEstimate& end) {
  constexpr const char* kName = "Charge at the end";
  std::string counted;
  if (end.by_counting)
    counted = measured_text({100.0 * end.by_counting->charge.value,
                             100.0 * end.by_counting->charge.expanded_uncertainty,
                             end.by_counting->charge.coverage_factor},
                            "%");
  if (end.fused)
    return {kName, interval_words(*end.fused), kDash,
            "by counting " + counted + ", by the voltage at rest " + interval_words(*end.by_curve) +
                (end.agree.value_or(true) ? "" : ": they contradict each other")};
  if (end.by_counting)
    return {kName, counted, number_text(end.by_counting->charge.coverage_factor),
            "by counting; not by the voltage at rest: " + as_printed(end.by_curve.why())};
  if (end.by_curve) return {kName, interval_words(*end.by_curve), kDash, "by the voltage at rest"};
  return {kName, kDash, kDash,
          as_printed(end.by_counting.why()) + "; " + as_printed(end.by_curve.why())};
}

TableRow cells_row(const analysis::UntappedCells& cells) {
  return {"Cells, not tapped", cells.one_alone ? "one was empty alone" : "empty together", kDash,
          (cells.confidence ? percent_text(*cells.confidence) + " sure: " : std::string()) +
              as_printed(cells.because)};
}

}  // namespace

std::string made_from(const OpenCircuitCurve& curve) {
  if (!curve.slow) return "rests";
  return curve.difference ? "slow discharge and rests" : "slow discharge";
}

std::vector<TableRow> open_circuit_rows(const analysis::Figures& figures) {
  std::vector<TableRow> rows = {curve_row(figures)};
  if (figures.state_of_charge) rows.push_back(charge_row(figures.state_of_charge->at_end));
  if (figures.untapped_cells) rows.push_back(cells_row(*figures.untapped_cells));
  return rows;
}

}  // namespace sagbench::reports
