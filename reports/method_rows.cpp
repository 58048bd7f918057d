#include "reports/method_rows.hpp"

#include <utility>

namespace sagbench::reports {
namespace {

constexpr const char* kOwn = "own method, docs/figures.md";

}  // namespace

Table method_table(const analysis::Figures& figures) {
  Table table{{{"Figure", 1.1}, {"Method", 3.2}, {"Standard or source", 1.5}},
              {},
              {6.8, Weight::regular, kInk},
              3};
  const auto add = [&table](bool had, const char* figure, const char* method, const char* source) {
    if (had) table.rows.push_back({figure, method, source});
  };
  const auto& by_others = figures.resistances;
  add(static_cast<bool>(figures.capacity), "Capacity, energy",
      "discharge at a constant current to the end voltage; trapezoids between samples, the "
      "crossing "
      "interpolated",
      "rates in It: IEC 61960-3");
  add(static_cast<bool>(figures.dc_resistance), "D.c. resistance",
      "two currents one after the other: difference of voltages over that of currents",
      "IEC 61960-3:2017");
  add(static_cast<bool>(by_others.steps), "Step resistance",
      "fall of the voltage so long after a current came on from rest, over the current", kOwn);
  add(static_cast<bool>(by_others.cells), "Cell resistance", "the same, tap by tap", kOwn);
  add(static_cast<bool>(by_others.contact), "Contacts",
      "slope of meter minus load voltage against current", kOwn);
  add(static_cast<bool>(by_others.two_point), "Two points",
      "straight line through two discharge currents: open circuit and short circuit",
      "IEC 60896-21:2004, 6.3");
  add(figures.circuit || figures.charge_circuit, "Circuit",
      "R0 and RC branches fitted to the readings by least squares", kOwn);
  add(static_cast<bool>(figures.open_circuit), "Open-circuit curve",
      "voltage at rest, extrapolated where the rest was short; slow discharge where one was run",
      kOwn);
  add(static_cast<bool>(figures.state_of_charge), "State of charge",
      "by that curve, by counting, and by both with their weights", kOwn);
  add(!figures.peak_current.empty(), "Highest current",
      "straight line through the held peaks down to the radio's lower supply limit", kOwn);
  add(!figures.on_air.empty(), "On the air",
      "the load plays the radio: levels, keying and duty of the mode",
      "keying: ITU-R M.1677-1; duties: docs/modes.md");
  add(!figures.ratings.empty(), "Verdicts",
      "lowest supply under the radio's peaks against its limit, with a guard band",
      "JCGM 106:2012, 8.3.2");
  table.rows.push_back({"Uncertainties",
                        "inputs' standard uncertainties combined in quadrature, "
                        "expanded by the factor k of each figure",
                        "JCGM 100:2008"});
  return table;
}

}  // namespace sagbench::reports
