#include "reports/figures_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "analysis/peak_current.hpp"
#include "reports/number_text.hpp"
#include "reports/open_circuit_words.hpp"
#include "reports/report_page.hpp"
#include "reports/resistance_rows.hpp"
#include "reports/run_words.hpp"

namespace sagbench::reports {
namespace {

using analysis::Figures;

constexpr const char* kDash = "\xE2\x80\x93";

std::string usable_words(const analysis::Rating& rating) {
  if (!rating.usable_capacity_ah) return kDash;
  return std::string(minimum_sign(rating.usable_is_minimum)) +
         quantity_text(*rating.usable_capacity_ah, "Ah");
}

void add_capacity(const Figures& figures, Table& table) {
  if (!figures.capacity) {
    table.rows.push_back({"Capacity", kDash, kDash, as_printed(figures.capacity.why())});
    table.rows.push_back({"Energy", kDash, kDash, as_printed(figures.capacity.why())});
    return;
  }
  const auto& c = *figures.capacity;
  const auto how = fmt::format("step {}: {} ({} It) to {}, {}; ended: {}", c.step + 1,
                               quantity_text(c.mean_current_a, "A"), number_text(c.rate_it),
                               quantity_text(c.to_voltage_v, "V", 4),
                               temperature_words(c.temperature_c), step_end_words(c.ended_by));
  table.rows.push_back({"Capacity", measured_text(c.charge_ah, "Ah"),
                        number_text(c.charge_ah.coverage_factor), how});
  table.rows.push_back({"Energy", measured_text(c.energy_wh, "Wh"),
                        number_text(c.energy_wh.coverage_factor), "same discharge"});
}

void add_circuit(const Figures& figures, Table& table) {
  if (!figures.circuit) {
    table.rows.push_back({"Equivalent circuit", kDash, kDash, as_printed(figures.circuit.why())});
    return;
  }
  std::string values = "R0 " + resistance_text({figures.circuit->r0_ohm, 0.0, 2.0});
  for (const auto& branch : figures.circuit->branches) {
    values += fmt::format("; {} with {}", resistance_text({branch.r_ohm, 0.0, 2.0}),
                          quantity_text(branch.tau_s, "s"));
  }
  std::string how = "fitted, without uncertainty; residual r.m.s. " +
                    quantity_text(figures.circuit->residual_rms_v * 1000.0, "mV");
  if (figures.circuit->charge)
    how = "at " + percent_text(*figures.circuit->charge) + " charge, " + how;
  table.rows.push_back({"Equivalent circuit", values, kDash, how});
}

/// From the least to the most of a branch over charge.
std::string over_charge(const analysis::FittedCurve& ohm) {
  const auto [least, most] = std::ranges::minmax(ohm.values, {}, &analysis::Fitted::value);
  return resistance_text({least.value, 0.0, 2.0}) + " to " +
         resistance_text({most.value, 0.0, 2.0});
}

void add_charge_circuit(const Figures& figures, Table& table) {
  constexpr const char* kName = "Circuit over charge";
  if (!figures.charge_circuit) {
    table.rows.push_back({kName, kDash, kDash, as_printed(figures.charge_circuit.why())});
    return;
  }
  const analysis::ChargeCircuit& circuit = *figures.charge_circuit;
  std::string values = "R0 " + over_charge(circuit.r0_ohm);
  for (const auto& branch : circuit.branches)
    values += fmt::format("; {} with {}", over_charge(branch.ohm),
                          quantity_text(branch.tau_s.value, "s"));
  table.rows.push_back(
      {kName, values, kDash,
       fmt::format("fitted to all {} readings, 95 % of the pulses within {}; what it leaves is {}",
                   circuit.readings, quantity_text(circuit.pulse_miss_v * 1000.0, "mV"),
                   circuit.white ? "noise" : "not noise: an approximation")});
}

bool not_tested_higher(const analysis::PeakCurrent& peak) {
  return peak.limited_by == analysis::kTestedRange;
}

// The radio is told where its supply counts, or would have.
std::string limit_words(const analysis::PeakCurrent& peak) {
  if (not_tested_higher(peak)) return "not tested higher";
  if (peak.limited_by == "supply_min")
    return fmt::format("limited by the {} radio's supply limit", name_of(peak.radio_class));
  return "limited by " + peak.limited_by;
}

std::string charge_words(double charge_ah) {
  constexpr double kLeast = 0.001;
  return charge_ah < kLeast ? "under " + quantity_text(kLeast, "Ah")
                            : quantity_text(charge_ah, "Ah");
}

TableRow trip_row(const analysis::BoardTrip& trip) {
  const std::string how = "at " + percent_text(trip.charge) + " charge, ";
  if (!trip.opened)
    return {"Protection board", "\xE2\x89\xA5 " + quantity_text(trip.held_a, "A"), kDash,
            how + "did not open"};
  return {
      "Protection board", "opened at " + quantity_text(trip.opened_a, "A"), kDash,
      how + fmt::format("{} s to {} s after the edge; held {}", fixed_text(trip.not_before_s, 3),
                        fixed_text(trip.not_after_s, 3), quantity_text(trip.held_a, "A"))};
}

/// What was expected of a transmit step before it, beside what came of it.
TableRow prediction_row(const analysis::PredictionTest& test) {
  const std::string name = "Predicted, " + test.radio;
  if (!test.predicted) return {name, kDash, kDash, as_printed(test.predicted.why())};
  const auto& found = *test.predicted;
  std::string how = fmt::format("before step {}; ", test.step + 1);
  how += test.hours ? "measured " + quantity_text(*test.hours, "h")
                    : std::string("still on the air at its end");
  how += "; lowest supply " + measured_text(found.lowest_supply_v, "V");
  if (test.lowest_supply_v) how += ", measured " + quantity_text(*test.lowest_supply_v, "V", 4);
  return {name, measured_text(found.hours, "h"), number_text(found.hours.coverage_factor), how};
}

/// What the radio got out of the pack, beside what a constant current did.
void add_usable(const Figures& figures, const analysis::OnAir& air, Table& table) {
  std::string how = fmt::format("step {}, {}: {} on the air, {} drop-out{}", air.step + 1,
                                name_of(air.mode), duration_text(air.on_air_hours * 3600),
                                air.drop_outs, air.drop_outs == 1 ? "" : "s");
  if (!air.usable_ah) {
    if (air.drop_outs > 0) table.rows.push_back({"Usable, " + air.radio, kDash, kDash, how});
    return;
  }
  if (air.left_ah)
    how += fmt::format("; {} of the {} at constant current, {} left behind",
                       percent_text(*air.usable_ah / figures.capacity->charge_ah.value),
                       quantity_text(figures.capacity->charge_ah.value, "Ah"),
                       quantity_text(*air.left_ah, "Ah"));
  table.rows.push_back({"Usable, " + air.radio, quantity_text(*air.usable_ah, "Ah"), kDash, how});
}

void add_rest(const Figures& figures, Table& table) {
  for (const auto& peak : figures.peak_current) {
    table.rows.push_back(
        {"Highest current at " + percent_text(peak.charge),
         (not_tested_higher(peak) ? "at least " : "") + quantity_text(peak.current_a, "A"), kDash,
         limit_words(peak)});
  }
  for (const auto& air : figures.on_air) {
    table.rows.push_back(
        {fmt::format("On the air, {}", air.radio),
         "lowest " + quantity_text(air.lowest_supply_v, "V", 4), kDash,
         fmt::format("step {}, {}: {}, {} removed; mean {}, r.m.s. {}, peak {}", air.step + 1,
                     name_of(air.mode), duration_text(air.hours * 3600),
                     charge_words(air.charge_ah), quantity_text(air.mean_current_a, "A"),
                     quantity_text(air.rms_current_a, "A"),
                     quantity_text(air.peak_current_a, "A"))});
    add_usable(figures, air, table);
  }
  if (figures.board_trip) table.rows.push_back(trip_row(*figures.board_trip));
  for (const auto& test : figures.predictions) table.rows.push_back(prediction_row(test));
  if (!figures.cell_spread_v) return;
  std::string weakest = "with 90\xC2\xA0% of the discharge done";
  if (figures.weakest_cell) {
    weakest += fmt::format("; lowest: cell {} from the negative end", *figures.weakest_cell);
  }
  table.rows.push_back({"Spread of the cells", quantity_text(*figures.cell_spread_v * 1000.0, "mV"),
                        kDash, weakest});
}

template <class T>
void add_why(std::vector<std::string>& lines, const char* name,
             const analysis::Finding<T>& finding) {
  if (!finding) lines.push_back(std::string(name) + ": " + as_printed(finding.why()));
}

}  // namespace

Table full_figures_table(const Figures& figures) {
  Table table{
      {{"Figure", 1.2}, {"Value \xC2\xB1 expanded uncertainty", 1.6}, {"k", 0.2}, {"How", 3.0}},
      {},
      {6.8, Weight::regular, kInk},
      3};
  add_capacity(figures, table);
  table.rows.push_back(two_current_row(figures));
  add_circuit(figures, table);
  add_charge_circuit(figures, table);
  std::ranges::move(open_circuit_rows(figures), std::back_inserter(table.rows));
  add_rest(figures, table);
  return table;
}

Table ratings_table(const Figures& figures) {
  Table table{{{"Class", 0.5},
               {"Verdict", 0.9},
               {"Radio", 1.6},
               {"Margin", 1.3},
               {"At charge", 0.7},
               {"Usable", 0.7},
               {"Temperature", 1.0},
               {"Cable", 0.7}},
              {},
              {6.8, Weight::regular, kInk},
              2};
  for (const auto& r : figures.ratings) {
    table.rows.push_back({std::string(name_of(r.radio_class)), std::string(name_of(r.verdict)),
                          r.radio.value_or(kDash),
                          r.margin_v ? measured_text(*r.margin_v, "V") : kDash,
                          r.margin_charge ? percent_text(*r.margin_charge) : kDash, usable_words(r),
                          r.temperature_c ? temperature_words(r.temperature_c) : kDash,
                          r.cable_ohm ? resistance_text({*r.cable_ohm, 0.0, 2.0}) : kDash});
  }
  return table;
}

std::vector<std::string> not_measured(const Figures& figures) {
  std::vector<std::string> lines;
  add_why(lines, "Capacity and energy", figures.capacity);
  add_why(lines, "D.c. resistance", figures.dc_resistance);
  add_why(lines, "Resistance of a step", figures.resistances.steps);
  add_why(lines, "Resistance of cells", figures.resistances.cells);
  add_why(lines, "Resistance of contacts", figures.resistances.contact);
  add_why(lines, "Resistance by two points", figures.resistances.two_point);
  add_why(lines, "Equivalent circuit", figures.circuit);
  add_why(lines, "Circuit over charge", figures.charge_circuit);
  add_why(lines, "Open-circuit curve", figures.open_circuit);
  add_why(lines, "State of charge", figures.state_of_charge);
  if (figures.peaks.empty()) lines.emplace_back("Held peaks: the run has none.");
  if (figures.on_air.empty()) lines.emplace_back("On the air: the run has no transmit step.");
  for (const auto& rating : figures.ratings) {
    if (rating.verdict != analysis::Verdict::not_measured) continue;
    lines.push_back(
        fmt::format("{} rating: {}", name_of(rating.radio_class), as_printed(rating.because)));
  }
  if (!figures.cell_spread_v) {
    lines.emplace_back(
        "Spread of the cells: no taps were read with 90\xC2\xA0% of a discharge done.");
    add_why(lines, "Weak cell", figures.untapped_cells);
  }
  return lines;
}

}  // namespace sagbench::reports
