// The comparison's pages: runs grouped like with like, their discharge curves, and how to read
// both.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "reports/atomic_file.hpp"
#include "reports/comparison_report.hpp"
#include "reports/comparison_table.hpp"
#include "reports/named_chart.hpp"
#include "reports/number_text.hpp"
#include "reports/numbered_reasons.hpp"
#include "reports/pack_rates.hpp"
#include "reports/page_flow.hpp"
#include "reports/report_page.hpp"
#include "reports/svg_charts.hpp"

namespace sagbench::reports {
namespace {

// More than these cannot be told apart where they lie over each other (our choice).
constexpr std::size_t kMostCurves = 8;
constexpr const char* kNoCurves = "No discharge curves: no run holds a discharge.";
constexpr double kChartHeight = 250.0;
constexpr double kRowsWithHeading = 60.0;

std::string subtitle(const Comparison& comparison, std::size_t runs) {
  const SortWords& sorted = words_on(comparison.by);
  std::string text = fmt::format("Sorted by {}, {} first", sorted.title,
                                 sorted.less_is_better ? "the least" : "the most");
  const std::size_t ranked = runs - comparison.alone.size() - comparison.without.size();
  if (comparison.groups.size() > 1)
    text += fmt::format(
        "; {} runs in {} groups. Only within a group is like compared with like: ranks begin anew "
        "in each",
        ranked, comparison.groups.size());
  return text + ".";
}

void put_groups(PageFlow& flow, const Comparison& comparison) {
  const bool several = comparison.groups.size() > 1;
  std::size_t number = 0;
  for (const ComparisonGroup& group : comparison.groups) {
    ++number;
    const std::string name =
        several ? fmt::format("Group {}: ", number) : std::string("Like with like: ");
    flow.heading(name + (group.conditions.empty() ? "no condition changes this figure"
                                                  : as_printed(group.conditions)),
                 kRowsWithHeading);
    flow.table(comparison_table(group.rows, comparison.by));
    flow.space(kGrid);
  }
}

void put_unranked(PageFlow& flow, const std::vector<ComparisonRow>& rows, SortBy by,
                  const std::string& heading) {
  if (rows.empty()) return;
  flow.heading(heading, kRowsWithHeading);
  flow.table(comparison_table(rows, by));
  std::vector<NumberedReason> reasons;
  reasons.reserve(rows.size());
  for (const ComparisonRow& row : rows) reasons.push_back({row.number, row.why});
  flow.paragraph(as_printed(reasons_text(reasons)), kSmall);
  flow.space(kGrid);
}

Curve curve_of(const ComparisonRow& row, std::size_t place) {
  Curve curve;
  curve.name = fmt::format("{} {}", row.number, row.run->pack.name);
  curve.points = row.run->curve;
  curve.look = series_look(place);
  curve.end_marker = true;
  return curve;
}

std::vector<NamedChart> comparison_charts(const std::vector<const ComparisonRow*>& rows) {
  Panel panel{"Pack voltage (V)", {}, {}};
  std::size_t left_out = 0;
  for (const ComparisonRow* row : rows) {
    if (row->run->curve.size() < 2) continue;
    if (panel.curves.size() < kMostCurves)
      panel.curves.push_back(curve_of(*row, panel.curves.size()));
    else
      ++left_out;
  }
  if (panel.curves.empty()) return {};
  Chart chart;
  chart.title = "Discharge: voltage against charge removed";
  if (left_out > 0)
    chart.title +=
        fmt::format(", the first {} of {} with a curve", kMostCurves, kMostCurves + left_out);
  chart.x_title = "Charge removed (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = {std::move(panel)};
  return {{"discharges", std::move(chart)}};
}

void put_curves(PageFlow& flow, const std::vector<const ComparisonRow*>& rows) {
  const auto charts = comparison_charts(rows);
  if (charts.empty()) return flow.paragraph(kNoCurves, kBody);
  const Rect place = flow.take(kChartHeight);
  draw_chart(flow.canvas(), place, charts.front().chart);
  flow.space(kGrid);
}

std::string cautions_of(const ComparisonRequest& request,
                        const std::vector<const ComparisonRow*>& rows) {
  std::string text;
  if (const std::string early = early_ends(rows); !early.empty()) text += " " + early;
  for (const auto& line : rate_sentences(request)) text += " " + line;
  if (std::ranges::any_of(request.runs, &RunDigest::simulated))
    text += " Some of these packs are simulated: the virtual bench stood in for instruments.";
  return text.empty() ? text : text.substr(1);
}

void put_reading(PageFlow& flow, const ComparisonRequest& request, const Comparison& comparison,
                 const std::vector<const ComparisonRow*>& rows) {
  flow.heading("How to read", kRowsWithHeading);
  flow.paragraph(
      "Figures after \xC2\xB1 are expanded uncertainties (k = 2). " + tie_rule() + " " +
          as_printed(analysis::like_rule()) +
          " Mass and price are taken as exact. \xE2\x89\xA5: at least; no test found where the "
          "radio leaves the air. m\xCE\xA9: d.c. resistance. \xE2\x80\x93: not had.",
      kSmall);
  if (const auto missing = missing_words(rows); !missing.empty())
    flow.paragraph(as_printed(missing), kSmall);
  if (const auto cautions = cautions_of(request, rows); !cautions.empty())
    flow.paragraph(as_printed(cautions), kSmall);
  if (comparison.groups.empty())
    flow.paragraph("No two of these runs can be compared by this figure.", kBodyBold);
}

}  // namespace

void draw_comparison(PdfDocument& document, const ComparisonRequest& request) {
  const Comparison comparison = compared(request.runs, request.by);
  const auto rows = rows_of(comparison);
  PageFlow flow(document);
  flow.title(fmt::format("Comparison of {} run{}", rows.size(), rows.size() == 1 ? "" : "s"));
  flow.paragraph(subtitle(comparison, rows.size()), kBody);
  flow.space(kGrid);
  put_groups(flow, comparison);
  put_unranked(flow, comparison.alone, comparison.by, "Alike with no other run: not compared");
  put_unranked(flow, comparison.without, comparison.by,
               fmt::format("Without this figure ({}): not ranked", words_on(comparison.by).title));
  put_curves(flow, rows);
  put_reading(flow, request, comparison, rows);
  draw_feet(document, request.software);
  document.draw_references();
}

void write_comparison_svg(const ComparisonRequest& request, const std::string& folder) {
  const Comparison comparison = compared(request.runs, request.by);
  const std::string& latest = std::ranges::max(request.runs, {}, &RunDigest::utc).utc;
  write_svg_charts(
      comparison_charts(rows_of(comparison)),
      fmt::format("Comparison of {} runs by {} \xC2\xB7 the youngest of {}", request.runs.size(),
                  words_on(comparison.by).title, latest.substr(0, 10)),
      folder, "no run holds a discharge");
}

void write_comparison(const ComparisonRequest& request, const std::string& path,
                      const ReportOptions& options) {
  if (request.runs.empty()) throw ReportError(path + ": no run to compare");
  // The youngest run dates the pages.
  const std::string& latest = std::ranges::max(request.runs, {}, &RunDigest::utc).utc;
  const DecimalSign sign(options.decimal_sign);
  PdfDocument document("Battery comparison", latest, options.paper);
  draw_comparison(document, request);
  write_file_whole(path, document.bytes());
}

}  // namespace sagbench::reports
