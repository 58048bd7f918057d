// The ageing report's pages: what the tests tell, pictures of it, and the tests.
#include "reports/ageing_report.hpp"

#include <fmt/format.h>

#include <utility>

#include "analysis/conditions.hpp"
#include "reports/ageing_chart.hpp"
#include "reports/ageing_table.hpp"
#include "reports/atomic_file.hpp"
#include "reports/number_text.hpp"
#include "reports/numbered_reasons.hpp"
#include "reports/page_flow.hpp"
#include "reports/report_page.hpp"
#include "reports/svg_charts.hpp"

namespace sagbench::reports {
namespace {

constexpr double kPanelHeight = 105.0, kAxesHeight = 60.0;
constexpr double kRowsWithHeading = 60.0;

std::string subtitle(const AgeingHistory& history) {
  const analysis::Pack& pack = history.pack;
  std::string text = pack_words(pack);
  if (!pack.serial.empty()) text += ", serial " + pack.serial;
  if (!pack.builder.empty() || !pack.built.empty()) text += ", built";
  if (!pack.builder.empty()) text += " by " + pack.builder;
  if (!pack.built.empty()) text += " " + pack.built;
  return text;
}

void put_charts(PageFlow& flow, const AgeingHistory& history) {
  for (auto& [name, chart] : ageing_charts(history)) {
    const std::string heading = std::exchange(chart.title, {});
    const double height = kAxesHeight + kPanelHeight * static_cast<double>(chart.panels.size());
    flow.space(kGrid);
    flow.heading(heading, height);
    draw_chart(flow.canvas(), flow.take(height), chart);
  }
}

void put_tables(PageFlow& flow, const AgeingHistory& history) {
  flow.space(kGrid);
  flow.heading("The tests", kRowsWithHeading);
  flow.table(tests_table(history));
  if (history.operations.empty()) return;
  flow.space(kGrid);
  flow.heading("Hours on the air, and what ends them", kRowsWithHeading);
  for (const Table& table : hours_tables(history)) {
    flow.table(table);
    flow.space(kGrid);
  }
}

void put_left_out(PageFlow& flow, const AgeingHistory& history) {
  for (const AgeingSeries* series : history.all_series()) {
    if (series->tests.empty() && series != &history.capacity() && series->unit != "h") continue;
    std::vector<NumberedReason> reasons;
    for (const LeftOut& left : series->left_out) reasons.push_back({left.test + 1, left.why});
    if (!reasons.empty())
      flow.paragraph(series->name + ", not taken: " + as_printed(reasons_text(reasons)), kSmall);
    if (!series->conditions.empty())
      flow.paragraph(series->name + ", taken: tests at " + as_printed(series->conditions) + ".",
                     kSmall);
  }
}

/// Those of the newest answer; older ones differ in their numbers at most.
void put_cautions(PageFlow& flow, const AgeingHistory& history) {
  for (const OperationSeries& series : history.operations) {
    std::string text;
    for (const std::string& line : series.answers.back().cautions) text += " " + line;
    if (!text.empty())
      flow.paragraph(fmt::format("{}, last test:{}", series.hours.name, as_printed(text)), kSmall);
  }
}

constexpr const char* kRules =
    "Figures after \xC2\xB1 and error bars are expanded uncertainties, about 95 %. A trend is a "
    "straight line by weighted least squares through three tests or more that are alike; its "
    "uncertainty is that of the tests, or of their scatter where this is more (JCGM 100, H.3). It "
    "is significant where the slope exceeds its expanded uncertainty, and only then carried on, by "
    "half of the time that the tests span and no further (common practice, no source); the line "
    "knows nothing of a pack that fails early. Worn is a pack at 80 % of its rated capacity: the "
    "replacement criterion of IEEE 450 and IEEE 1188 for lead-acid, common practice without a "
    "source for others; its dates are those between which the trend within its uncertainty meets "
    "that (Fieller's interval). The next test is due a year after the last (common practice), half "
    "way to where the lower end of the trend meets that level where this is within the year, or "
    "within a month where the last test leaves open whether the pack is worn.";

}  // namespace

void draw_ageing(PdfDocument& document, const AgeingHistory& history, const std::string& software) {
  PageFlow flow(document);
  flow.title("Ageing of " + history.pack.name);
  flow.paragraph(subtitle(history), kBody);
  flow.space(kGrid);
  flow.heading("What the tests tell", kRowsWithHeading);
  for (const std::string& line : statements_on(history)) flow.paragraph(as_printed(line), kBody);
  for (const std::string& line : history.cautions) flow.paragraph(line, kBodyBold);
  put_charts(flow, history);
  put_tables(flow, history);
  flow.space(kGrid);
  put_left_out(flow, history);
  put_cautions(flow, history);
  flow.space(kGrid);
  flow.heading("How to read", kRowsWithHeading);
  flow.paragraph(kRules, kSmall);
  flow.paragraph(as_printed(analysis::like_rule()), kSmall);
  draw_feet(document, software);
  document.draw_references();
}

void write_ageing_svg(const AgeingHistory& history, const std::string& folder) {
  const auto day = [](const AgeingTest& test) { return test.run.utc.substr(0, 10); };
  const std::string serial = history.pack.serial.empty() ? "" : " " + history.pack.serial;
  write_svg_charts(
      ageing_charts(history),
      fmt::format("{}{}{} \xC2\xB7 {} runs, {} to {}", history.pack.name, serial,
                  history.tests.back().run.simulated ? " (simulated)" : "", history.tests.size(),
                  day(history.tests.front()), day(history.tests.back())),
      folder, "no figure was found at two moments");
}

void write_ageing(const AgeingHistory& history, const std::string& software,
                  const std::string& path, const ReportOptions& options) {
  const DecimalSign sign(options.decimal_sign);
  PdfDocument document("Battery ageing: " + history.pack.name, history.tests.back().run.utc,
                       options.paper);
  draw_ageing(document, history, software);
  write_file_whole(path, document.bytes());
}

}  // namespace sagbench::reports
