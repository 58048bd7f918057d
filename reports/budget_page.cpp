#include "reports/budget_page.hpp"

#include <string>

#include "reports/number_text.hpp"
#include "reports/paragraph.hpp"
#include "reports/report_page.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {
namespace {

using analysis::BudgetTerm;
using analysis::Measured;
using analysis::UncertaintyBudget;

constexpr const char* kMethod =
    "Each input is independent of the others and is counted once; where it acts on the figure in "
    "several ways, as an error of the voltage acts on the energy and on where the discharge ends, "
    "its sensitivity is their sum. Contributions are sensitivity times standard uncertainty, and "
    "combine in quadrature (JCGM 100:2008, 5.1.2). Gain and offset of an instrument stay the same "
    "over a run and do not average; noise does.";

std::string per_unit(const std::string& of, const std::string& unit) {
  return unit == "1" ? of : of + "/" + unit;
}

TableRow row_of(const BudgetTerm& term, const std::string& unit) {
  const std::string input_unit = term.unit == "1" ? "" : term.unit;
  return {term.input, std::string(name_of(term.distribution)),
          quantity_text(term.standard_u, input_unit),
          quantity_text(term.sensitivity, per_unit(unit, term.unit)),
          quantity_text(term.contribution(), unit)};
}

Table table_of(const UncertaintyBudget& budget, const Measured& measured, const std::string& unit) {
  Table table;
  table.columns = {{"Input", 2.6},
                   {"Distribution", 1.2},
                   {"Standard uncertainty", 1.6, Align::right},
                   {"Sensitivity", 1.6, Align::right},
                   {"Contribution", 1.4, Align::right}};
  table.font = kSmall;
  for (const BudgetTerm& term : budget.terms) table.rows.push_back(row_of(term, unit));
  table.rows.push_back({"Combined", "", "", "", quantity_text(budget.combined(), unit)});
  table.rows.push_back({"Expanded, k = " + number_text(measured.coverage_factor), "", "", "",
                        quantity_text(measured.expanded_uncertainty, unit)});
  return table;
}

}  // namespace

void draw_budget_page(PdfDocument& document, const analysis::Capacity& capacity) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  double top = draw_heading(canvas, {area.x, area.y}, area.width,
                            "Where the uncertainty comes from: charge");
  top = draw_table(canvas, {area.x, top}, area.width, area.bottom(),
                   table_of(capacity.charge_budget, capacity.charge_ah, "Ah"))
            .bottom +
        2 * kGrid;
  top = draw_heading(canvas, {area.x, top}, area.width, "Energy");
  top = draw_table(canvas, {area.x, top}, area.width, area.bottom(),
                   table_of(capacity.energy_budget, capacity.energy_wh, "Wh"))
            .bottom +
        2 * kGrid;
  draw_lines(canvas, {area.x, top}, wrap_at_most(canvas, kMethod, kSmall, area.width, 8), kSmall);
}

}  // namespace sagbench::reports
