#include "reports/budget_page.hpp"

#include <string>
#include <utility>
#include <vector>

#include "reports/number_text.hpp"
#include "reports/paragraph.hpp"
#include "reports/report_page.hpp"
#include "reports/resistance_rows.hpp"
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

/// Returns where the next thing may begin.
double draw_titled(Canvas& canvas, const Rect& area, double top, const std::string& title,
                   const Table& table, MarkLevel level) {
  top = draw_heading(canvas, {area.x, top}, area.width, title, level);
  const TableDrawn drawn = draw_table(canvas, {area.x, top}, area.width, area.bottom(), table);
  return drawn.bottom + 2 * kGrid;
}

double draw_budgets(Canvas& canvas, const Rect& area, const analysis::Capacity& capacity) {
  double top =
      draw_titled(canvas, area, area.y, kChargeBudget,
                  table_of(capacity.charge_budget, capacity.charge_ah, "Ah"), MarkLevel::part);
  top = draw_titled(canvas, area, top, "Energy",
                    table_of(capacity.energy_budget, capacity.energy_wh, "Wh"), MarkLevel::section);
  return draw_lines(canvas, {area.x, top}, wrap_at_most(canvas, kMethod, kSmall, area.width, 8),
                    kSmall) +
         2 * kGrid;
}

void draw_resistances(Canvas& canvas, const Rect& area, double top, std::vector<TableRow> rows) {
  const Table table{
      {{"Method", 1.2}, {"Value \xC2\xB1 expanded uncertainty", 1.3}, {"k", 0.2}, {"How", 3.3}},
      std::move(rows),
      {6.8, Weight::regular, kInk},
      2};
  top = draw_heading(canvas, {area.x, top}, area.width, "Resistance, method by method");
  const TableDrawn drawn =
      draw_table(canvas, {area.x, top}, area.width, area.bottom() - 2 * kGrid, table);
  if (drawn.rows_left == 0) return;
  draw_lines(canvas, {area.x, drawn.bottom},
             {std::to_string(drawn.rows_left) + " more found no room: analyse --json has them."},
             kSmall);
}

}  // namespace

void draw_budget_page(PdfDocument& document, const analysis::Figures& figures) {
  const bool budgets = figures.capacity && !figures.capacity->charge_budget.terms.empty();
  std::vector<TableRow> rows = resistance_rows(figures);
  const bool beside_two_current = rows.size() > 1;  // that one is among all figures
  if (!budgets && !beside_two_current) return;
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const double top = budgets ? draw_budgets(canvas, area, *figures.capacity) : area.y;
  if (!rows.empty()) draw_resistances(canvas, area, top, std::move(rows));
}

}  // namespace sagbench::reports
