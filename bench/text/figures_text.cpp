#include "bench/text/figures_text.hpp"

#include <fmt/format.h>

#include <cmath>

#include "analysis/peak_current.hpp"
#include "analysis/rating.hpp"
#include "bench/run/predictions.hpp"
#include "bench/text/text_line.hpp"
#include "reports/open_circuit_words.hpp"

namespace sagbench::bench {
namespace {

using analysis::Measured;

std::string capacity_lines(const analysis::Figures& figures, const analysis::Pack& pack) {
  if (!figures.capacity) return line("capacity", "not measured: " + figures.capacity.why());
  const auto& capacity = *figures.capacity;
  return line("capacity", fmt::format("{}, {:.0f} % of rated, to {:.2f} V at {:.2f} It",
                                      with_uncertainty(capacity.charge_ah, 3, "Ah"),
                                      100.0 * capacity.charge_ah.value / pack.rated_capacity_ah,
                                      capacity.to_voltage_v, capacity.rate_it)) +
         line("energy", with_uncertainty(capacity.energy_wh, 2, "Wh"));
}

std::string corrected_line(const analysis::CorrectedCapacity& corrected) {
  const auto& [coefficient, charge_ah] = corrected;
  return line("at reference", charge_ah
                                  ? fmt::format("{} at {:g} °C, by the stated {:g} per kelvin",
                                                with_uncertainty(*charge_ah, 3, "Ah"),
                                                coefficient.reference_c, coefficient.per_k)
                                  : "not known: " + charge_ah.why());
}

std::string milliohms(const Measured& ohm) {
  constexpr double kMilli = 1000.0;
  return with_uncertainty(
      {kMilli * ohm.value, kMilli * ohm.expanded_uncertainty, ohm.coverage_factor}, 2, "mohm");
}

std::string repeats_words(const std::optional<analysis::Repeatability>& repeatability) {
  if (!repeatability) return "";
  return fmt::format("; {} pulses, standard deviation {:.2f} mohm", repeatability->count,
                     1000.0 * repeatability->standard_deviation);
}

std::string step_words(const analysis::StepResistance& step) {
  std::string text;
  for (const auto& point : step.points)
    if (point.ohm)
      text += (text.empty() ? "" : ", ") +
              fmt::format("{} at {:.4g} s", milliohms(*point.ohm), point.read_after_s);
  return fmt::format("{:.1f} A at {:.0f} % charge: {}", step.current_a, 100.0 * step.charge,
                     text.empty() ? step.points.front().ohm.why() : text);
}

std::string other_resistances(const analysis::Resistances& resistances) {
  std::string text;
  if (const auto& found = resistances.two_point)
    text += line("two points", fmt::format("{}, short circuit {}, open circuit {}, IEC 60896-21{}",
                                           milliohms(found->ohm),
                                           with_uncertainty(found->short_circuit_a, 0, "A"),
                                           with_uncertainty(found->open_circuit_v, 3, "V"),
                                           repeats_words(found->repeatability)));
  if (resistances.steps)
    for (const auto& step : *resistances.steps) text += line("step", step_words(step));
  if (resistances.cells)
    for (const auto& cell : *resistances.cells)
      text +=
          line(fmt::format("cell {}", cell.cell),
               fmt::format("{} after {:.1f} s at {:.0f} % charge{}", milliohms(cell.ohm),
                           cell.after_s, 100.0 * cell.charge, repeats_words(cell.repeatability)));
  if (const auto& contact = resistances.contact)
    text += line("leads, contacts",
                 fmt::format("{}; meter and load differ by {} without current",
                             milliohms(contact->ohm), with_uncertainty(contact->offset_v, 4, "V")));
  return text;
}

std::string resistance_lines(const analysis::Figures& figures) {
  const auto& found = figures.dc_resistance;
  const std::string first =
      found ? milliohms(found->ohm) + ", " + found->method + repeats_words(found->repeatability)
            : "not measured: " + found.why();
  return line("d.c. resistance", first) + other_resistances(figures.resistances);
}

std::string peak_words(const analysis::PeakCurrent& peak) {
  if (peak.limited_by == analysis::kTestedRange)
    return fmt::format("at least {:.1f} A at {:.0f} % charge: not tested higher", peak.current_a,
                       100.0 * peak.charge);
  return fmt::format("{:.1f} A at {:.0f} % charge, limited by {}", peak.current_a,
                     100.0 * peak.charge, peak.limited_by);
}

std::string trip_words(const analysis::BoardTrip& trip) {
  if (!trip.opened) return fmt::format("did not open up to {:.2f} A", trip.held_a);
  return fmt::format("opened at {:.2f} A, {:.3f} s to {:.3f} s after the edge; {:.2f} A it held",
                     trip.opened_a, trip.not_before_s, trip.not_after_s, trip.held_a);
}

std::string time_words(double seconds) {
  constexpr double kMilli = 1000.0;
  return seconds < 1.0 ? fmt::format("{:.0f} ms", kMilli * seconds)
                       : fmt::format("{:.0f} s", seconds);
}

std::string point_words(const analysis::SagPoint& point) {
  constexpr double kMilli = 1000.0;
  const double shown_v = std::round(kMilli * point.below_rest_v) / kMilli + 0.0;  // no "-0.000"
  return fmt::format("{:.3f} V at {}", shown_v, time_words(point.read_after_s));
}

std::string joined(const std::vector<analysis::SagPoint>& points) {
  std::string text;
  for (const auto& point : points) text += (text.empty() ? "" : ", ") + point_words(point);
  return text;
}

/// Sag and recovery of one held peak, both below the rest before it.
std::string sag_words(const analysis::Peak& peak) {
  std::string text =
      fmt::format("{:.1f} A at {:.0f} % charge: ", peak.current_a, 100.0 * peak.charge) +
      joined(peak.sag);
  if (peak.sag.empty()) text += "no reading under current";
  if (!peak.recovery.empty()) text += "; after release " + joined(peak.recovery);
  if (!peak.full_hold) text += "; let go early: " + peak.ended;
  return text;
}

std::string rating_lines(const analysis::Rating& rating) {
  const auto name = analysis::name_of(rating.radio_class);
  std::string text = line(fmt::format("{} rating", name),
                          fmt::format("{}. {}", analysis::name_of(rating.verdict), rating.because));
  if (rating.usable_capacity_ah)
    text += line(fmt::format("{} usable", name),
                 fmt::format("{}{:.1f} Ah", rating.usable_is_minimum ? "at least " : "",
                             *rating.usable_capacity_ah));
  if (const std::string risk = analysis::risk_words(rating); !risk.empty())
    text += line(fmt::format("{} certainty", name), risk);
  for (const std::string& fact : rating.facts) text += line("  rests on", fact);
  for (const std::string& change : rating.would_change) text += line("  would change it", change);
  return text;
}

/// What the radio got out of the pack beside what a constant current did.
std::string usable_words(const analysis::OnAir& air, const analysis::Figures& figures) {
  if (!air.usable_ah) return "";
  std::string text = fmt::format("; usable {:.2f} Ah", *air.usable_ah);
  if (!air.left_ah) return text;
  const double capacity_ah = figures.capacity->charge_ah.value;
  return text +
         fmt::format(", {:.0f} % of the {:.2f} Ah at constant current, {:.2f} Ah left behind",
                     100.0 * *air.usable_ah / capacity_ah, capacity_ah, *air.left_ah);
}

std::string delivery_words(const analysis::Delivery& delivery) {
  const auto of = [](const analysis::CurrentFigures& figures, double key_down) {
    return fmt::format("mean {:.3f} A, r.m.s. {:.3f} A, peak {:.2f} A, key-down {:.1f} %",
                       figures.mean_a, figures.rms_a, figures.peak_a, 100.0 * key_down);
  };
  std::string text = "asked " + of(delivery.asked, delivery.asked_key_down) + "; delivered " +
                     of(delivery.delivered, delivery.delivered_key_down);
  const analysis::EdgeTiming& edges = delivery.edges;
  if (edges.nearly_all_within_s)
    text += fmt::format("; edges: half within {:.0f} ms, 99 % within {:.0f} ms",
                        1000.0 * *edges.half_within_s, 1000.0 * *edges.nearly_all_within_s);
  if (edges.unseen > 0) text += fmt::format(", {} of {} not seen", edges.unseen, edges.asked);
  return text;
}

std::string interval_words(const analysis::ChargeInterval& interval) {
  return fmt::format("{:.0f} % (95 % within {:.0f} to {:.0f} %)", 100.0 * interval.charge,
                     100.0 * interval.low, 100.0 * interval.high);
}

std::string charge_words(const analysis::ChargeEstimate& end) {
  std::string text = end.fused ? interval_words(*end.fused) + " at the end; " : std::string();
  if (end.by_counting)
    text += fmt::format("{:.1f} +/- {:.1f} % by counting", 100.0 * end.by_counting->charge.value,
                        100.0 * end.by_counting->charge.expanded_uncertainty);
  else
    text += "not counted: " + end.by_counting.why();
  return text + (end.by_curve ? ", " + interval_words(*end.by_curve) + " by the voltage at rest"
                              : "; not by the voltage at rest: " + end.by_curve.why());
}

std::string curve_words(const analysis::OpenCircuitCurve& curve) {
  std::string text = "from " + reports::made_from(curve);
  if (curve.difference)
    text += fmt::format(", which differ by {:.0f} mV at most",
                        std::abs(1000.0 * curve.difference->largest_v));
  return text + (curve.hysteresis ? "" : "; hysteresis not measured");
}

std::string open_circuit_lines(const analysis::Figures& figures) {
  std::string text =
      line("open circuit", figures.open_circuit ? curve_words(*figures.open_circuit)
                                                : "not measured: " + figures.open_circuit.why());
  if (figures.state_of_charge)
    text += line("state of charge", charge_words(figures.state_of_charge->at_end));
  if (const auto& cells = figures.untapped_cells)
    text +=
        line("cells, not tapped",
             (cells->one_alone ? "one was empty alone: " : "empty together: ") + cells->because);
  return text;
}

std::string on_air_line(const analysis::OnAir& air, const analysis::Figures& figures) {
  return line(
      "on the air",
      fmt::format("{}, {}, step {}: {:.2f} h, {} drop-out{}, lowest supply {:.2f} V{}", air.radio,
                  analysis::name_of(air.mode), air.step + 1, air.on_air_hours, air.drop_outs,
                  air.drop_outs == 1 ? "" : "s", air.lowest_supply_v, usable_words(air, figures)));
}

}  // namespace

std::string figures_text(const reports::ReportInput& input,
                         const std::optional<analysis::CorrectedCapacity>& corrected) {
  const auto& figures = input.figures;
  std::string text = line("run", figures.run_id + (figures.complete ? "" : " (incomplete)")) +
                     line("pack", input.recording.pack.name);
  text += capacity_lines(figures, input.recording.pack);
  if (corrected) text += corrected_line(*corrected);
  text += resistance_lines(figures);
  text += open_circuit_lines(figures);
  for (const auto& peak : figures.peaks) text += line("sag below rest", sag_words(peak));
  for (const auto& peak : figures.peak_current) text += line("peak current", peak_words(peak));
  if (figures.board_trip) text += line("protection board", trip_words(*figures.board_trip));
  for (const auto& test : figures.predictions) text += line("prediction", outcome_words(test));
  for (const auto& air : figures.on_air) {
    text += on_air_line(air, figures);
    if (air.delivered) text += line("pattern", delivery_words(*air.delivered));
  }
  for (const auto& rating : figures.ratings) text += rating_lines(rating);
  for (const auto& caution : figures.cautions) text += line("caution", caution);
  return text;
}

}  // namespace sagbench::bench
