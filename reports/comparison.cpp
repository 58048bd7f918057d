// The comparison page: a table of runs and their discharge curves, one over the other.
#include <fmt/format.h>

#include <algorithm>

#include "reports/atomic_file.hpp"
#include "reports/chart.hpp"
#include "reports/comparison_rows.hpp"
#include "reports/number_text.hpp"
#include "reports/pack_rates.hpp"
#include "reports/report_page.hpp"
#include "reports/report_pages.hpp"
#include "reports/report_series.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

constexpr std::size_t kMostRuns = 12;
constexpr double kLeastPicture = 150.0;
constexpr const char* kDash = "\xE2\x80\x93";

std::string verdict_words(const analysis::Rating* rating) {
  return std::string(
      name_of(rating != nullptr ? rating->verdict : analysis::Verdict::not_measured));
}

std::string condition_words(const analysis::Figures& figures) {
  if (!figures.capacity) return kDash;
  const auto& c = *figures.capacity;
  std::string text = fmt::format("{}, to {}", quantity_text(c.rate_it, "It", 2),
                                 quantity_text(c.to_voltage_v, "V", 4));
  if (c.temperature_c) text += ", " + temperature_words(c.temperature_c);
  return text;
}

std::string usable_words(const ComparisonRow& row) {
  if (!row.usable_qro_ah) return kDash;
  return std::string(minimum_sign(row.qro->usable_is_minimum)) + number_text(*row.usable_qro_ah);
}

TableRow table_row(const ComparisonRow& row) {
  const auto& pack = row.input->recording.pack;
  const auto& figures = row.input->figures;
  const bool had = static_cast<bool>(figures.capacity);
  return {fmt::format("{}{}", row.rank, row.tie ? "=" : ""),
          pack.name,
          std::string(analysis::limits_of(pack.chemistry).name),
          number_text(pack.rated_capacity_ah),
          had ? measured_text(figures.capacity->charge_ah, "") : kDash,
          condition_words(figures),
          had ? number_text(figures.capacity->energy_wh.value) : kDash,
          pack.mass_kg ? number_text(*pack.mass_kg) : kDash,
          row.energy_per_mass_wh_kg ? number_text(*row.energy_per_mass_wh_kg) : kDash,
          figures.dc_resistance ? number_text(figures.dc_resistance->ohm.value * 1000.0) : kDash,
          verdict_words(row.qrp),
          verdict_words(row.qro),
          usable_words(row)};
}

Table table_of(const std::vector<ComparisonRow>& rows) {
  Table table{{{"#", 0.35},
               {"Pack", 1.4},
               {"Type", 0.75},
               {"Rated Ah", 0.6, Align::right},
               {"Measured Ah", 1.5, Align::right},
               {"Discharged at", 1.6},
               {"Wh", 0.65, Align::right},
               {"kg", 0.5, Align::right},
               {"Wh/kg", 0.7, Align::right},
               {"m\xCE\xA9", 0.55, Align::right},
               {"QRP", 0.95},
               {"QRO", 0.95},
               {"Ah on QRO", 0.65, Align::right}},
              {},
              {6.4, Weight::regular, kInk},
              3};
  for (const auto& row : rows) {
    if (table.rows.size() < kMostRuns) table.rows.push_back(table_row(row));
  }
  return table;
}

std::string how_to_read(const std::vector<ReportInput>& inputs) {
  std::string text =
      "How to read: best first, by the charge usable on a QRO radio (last column), else by "
      "measured "
      "capacity. Figures after \xC2\xB1 are expanded uncertainties (k = 2). Runs are a tie (=) "
      "with the "
      "line above when they differ by less than the root of the sum of the squares of both "
      "capacities' expanded uncertainties. \xE2\x89\xA5: at least; no test found where the radio "
      "leaves the "
      "air. m\xCE\xA9: d.c. resistance. ";
  const auto unlike = unlike_conditions(inputs);
  text +=
      unlike.empty() ? "Rates, temperatures and end voltages were alike." : "NOT like with like:";
  for (const auto& line : unlike) text += " " + line;
  for (const auto& line : early_ends(inputs)) text += " " + line;
  for (const auto& line : rate_sentences(inputs)) text += " " + line;
  if (std::any_of(inputs.begin(), inputs.end(), is_simulated)) {
    text += " Some of these packs are simulated: the virtual bench stood in for instruments.";
  }
  return text;
}

Chart curves_of(const std::vector<ComparisonRow>& rows, std::size_t shown) {
  Panel panel{"Pack voltage (V)", {}, {}};
  for (std::size_t i = 0; i < shown; ++i) {
    const ReportInput& input = *rows[i].input;
    auto points = discharge_curve(input.recording, input.figures);
    if (points.size() < 2) continue;
    Curve curve{fmt::format("{} {}", i + 1, input.recording.pack.name), std::move(points),
                series_look(i)};
    curve.end_marker = true;
    panel.curves.push_back(std::move(curve));
  }
  Chart chart;
  chart.title = "Discharge: voltage against charge removed";
  chart.x_title = "Charge removed (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = {std::move(panel)};
  return chart;
}

double draw_head(Canvas& canvas, const Rect& area, std::size_t runs) {
  constexpr Font kTitle{17.0, Weight::bold, kBlack};
  const auto title = fmt::format("Comparison of {} run{}", runs, runs == 1 ? "" : "s");
  return draw_lines(canvas, {area.x, area.y}, {title}, kTitle, 4 * kGrid) + kGrid;
}

double draw_runs(Canvas& canvas, const Rect& area, double top, const Table& table,
                 std::size_t runs) {
  const double limit = area.bottom() - kLeastPicture;
  const auto drawn = draw_table(canvas, {area.x, top}, area.width, limit, table);
  const auto hidden = runs - (table.rows.size() - drawn.rows_left);
  if (hidden == 0) return drawn.bottom + kGrid;
  const auto line =
      fmt::format("and {} more, not shown: sagbench compare --json lists all.", hidden);
  return draw_lines(canvas, {area.x, drawn.bottom}, {line}, kBodyBold) + kGrid;
}

}  // namespace

void draw_comparison(PdfDocument& document, const std::vector<ReportInput>& inputs) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const auto rows = comparison_rows(inputs);
  const Table table = table_of(rows);
  double top = draw_head(canvas, area, rows.size());
  top = draw_runs(canvas, area, top, table, rows.size());
  top = draw_lines(canvas, {area.x, top},
                   wrap(canvas, as_printed(how_to_read(inputs)), kSmall, area.width), kSmall) +
        2 * kGrid;
  const Chart chart = curves_of(rows, table.rows.size());
  if (chart.panels.front().curves.empty()) {
    draw_lines(canvas, {area.x, top}, {"No discharge curves: no run holds a discharge."}, kBody);
  } else {
    constexpr double kMostHeight = 460.0;
    draw_chart(canvas, {area.x, top, area.width, std::min(area.bottom() - top, kMostHeight)},
               chart);
  }
  draw_feet(document, inputs.front().record.header.software);
  document.draw_references();
}

void write_comparison(const std::vector<ReportInput>& inputs, const std::string& path,
                      const ReportOptions& options) {
  if (inputs.empty()) throw ReportError(path + ": no run to compare");
  std::string latest;  // the youngest run dates the page
  for (const auto& input : inputs) latest = std::max(latest, input.record.header.utc);
  const DecimalSign sign(options.decimal_sign);
  PdfDocument document("Battery comparison", latest, options.paper);
  draw_comparison(document, inputs);
  write_file_whole(path, document.bytes());
}

}  // namespace sagbench::reports
