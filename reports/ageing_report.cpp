// The ageing report's pages: what the tests tell, pictures of it, and the tests.
#include "reports/ageing_report.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reports/ageing_chart.hpp"
#include "reports/atomic_file.hpp"
#include "reports/comparison_sort.hpp"
#include "reports/number_text.hpp"
#include "reports/page_flow.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr const char* kDash = "\xE2\x80\x93";
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

void put_chart(PageFlow& flow, const std::optional<Chart>& chart, const std::string& heading) {
  if (!chart) return;
  const double height = kAxesHeight + kPanelHeight * static_cast<double>(chart->panels.size());
  flow.space(kGrid);
  flow.heading(heading, height);
  const Rect place = flow.take(height);
  draw_chart(flow.canvas(), place, *chart);
}

template <class Value, class Words>
std::string or_dash(const Value& value, Words words) {
  return value ? words(*value) : std::string(kDash);
}

std::string conditions_words(const RunDigest& run) {
  return or_dash(run.capacity, [](const analysis::Capacity& capacity) {
    std::string text = fmt::format("{}, to {}", quantity_text(capacity.rate_it, "It", 2),
                                   quantity_text(capacity.to_voltage_v, "V", 4));
    if (capacity.temperature_c) text += ", " + temperature_words(capacity.temperature_c);
    return text;
  });
}

std::string figure_words(const RunDigest& run, SortBy by) {
  const SortFigure figure = sort_figure(run, by);
  return or_dash(figure.value, [&](const analysis::Measured& measured) {
    return std::string(minimum_sign(figure.is_minimum)) + measured_text(measured, "");
  });
}

std::string share_words(const AgeingHistory& history, const RunDigest& run) {
  return or_dash(run.capacity, [&](const analysis::Capacity& capacity) {
    return percent_text(capacity.charge_ah.value / history.pack.rated_capacity_ah);
  });
}

bool is_taken(const AgeingSeries& series, std::size_t test) {
  return std::ranges::find(series.tests, test) != series.tests.end();
}

Table tests_table(const AgeingHistory& history) {
  Table table{{{"No.", 0.4, Align::right},
               {"Tested", 1.0},
               {"Discharged at", 1.7},
               {"Capacity (Ah)", 1.4, Align::right},
               {"of rated", 0.6, Align::right},
               {"in trend", 0.6},
               {"m\xCE\xA9", 1.0, Align::right},
               {"On QRP (Ah)", 1.1, Align::right},
               {"On QRO (Ah)", 1.1, Align::right},
               {"Run", 1.95}},
              {},
              {6.4, Weight::regular, kInk},
              3};
  for (std::size_t i = 0; i < history.tests.size(); ++i) {
    const RunDigest& run = history.tests[i].run;
    table.rows.push_back(
        {std::to_string(i + 1), run.dated ? run.utc.substr(0, 10) : kDash, conditions_words(run),
         figure_words(run, SortBy::capacity), share_words(history, run),
         is_taken(history.capacity(), i) ? "yes" : "no", figure_words(run, SortBy::resistance),
         figure_words(run, SortBy::usable_qrp), figure_words(run, SortBy::usable_qro), run.run_id});
  }
  return table;
}

void put_left_out(PageFlow& flow, const AgeingHistory& history) {
  for (const AgeingSeries& series : history.series) {
    if (series.tests.empty() && &series != &history.capacity()) continue;
    std::string text;
    for (const LeftOut& left : series.left_out)
      text += fmt::format(" No. {}: {}.", left.test + 1, left.why);
    if (!text.empty()) flow.paragraph(series.name + ", not taken:" + as_printed(text), kSmall);
    if (!series.conditions.empty())
      flow.paragraph(series.name + ", taken: tests at " + as_printed(series.conditions) + ".",
                     kSmall);
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
  put_chart(flow, ageing_chart(history), "Over time");
  put_chart(flow, use_chart(history), "Over use");
  flow.space(kGrid);
  flow.heading("The tests", kRowsWithHeading);
  flow.table(tests_table(history));
  flow.space(kGrid);
  put_left_out(flow, history);
  flow.space(kGrid);
  flow.heading("How to read", kRowsWithHeading);
  flow.paragraph(kRules, kSmall);
  flow.paragraph(as_printed(analysis::like_rule()), kSmall);
  draw_feet(document, software);
  document.draw_references();
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
