#include "reports/over_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"
#include "reports/run_charts.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {
namespace {

constexpr double kMostHeight = 290.0;
constexpr const char* kDash = "\xE2\x80\x93";

TableRow figures_row(std::string what, const analysis::CurrentFigures& figures, double key_down,
                     std::string edges) {
  return {std::move(what),
          quantity_text(figures.mean_a, "A"),
          quantity_text(figures.rms_a, "A"),
          quantity_text(figures.peak_a, "A"),
          percent_text(key_down),
          std::move(edges)};
}

std::string edges_words(const analysis::EdgeTiming& edges) {
  if (edges.asked == 0) return "no edges";
  if (!edges.worst_s) return fmt::format("none of {} seen", edges.asked);
  constexpr double kMilli = 1000.0;
  return fmt::format(
      "{} of {} seen: half within {:.0f} ms, 90 % {:.0f} ms, 99 % {:.0f} ms, all {:.0f} ms",
      edges.asked - edges.unseen, edges.asked, kMilli * *edges.half_within_s,
      kMilli * *edges.most_within_s, kMilli * *edges.nearly_all_within_s, kMilli * *edges.worst_s);
}

void add_rows(const analysis::OnAir& air, Table& table) {
  const std::string step = fmt::format("step {}, {}", air.step + 1, air.radio);
  if (!air.delivered) {
    table.rows.push_back({step, kDash, kDash, kDash, kDash, as_printed(air.delivered.why())});
    return;
  }
  const analysis::Delivery& delivery = *air.delivered;
  table.rows.push_back(
      figures_row(step + ": asked for", delivery.asked, delivery.asked_key_down, ""));
  table.rows.push_back(figures_row("drawn", delivery.delivered, delivery.delivered_key_down,
                                   edges_words(delivery.edges)));
}

/// Of every transmit step.
Table delivery_table(const std::vector<analysis::OnAir>& on_air) {
  Table table;
  table.columns = {{"Pattern", 2.6},
                   {"Mean", 1.0, Align::right},
                   {"R.m.s.", 1.0, Align::right},
                   {"Peak", 1.0, Align::right},
                   {"Key down", 1.0, Align::right},
                   {"Edges from their time, as the samples show them", 3.4}};
  table.font = kSmall;
  for (const analysis::OnAir& air : on_air) add_rows(air, table);
  return table;
}

}  // namespace

void draw_over_page(PdfDocument& document, const OverPictures& pictures,
                    const std::vector<analysis::OnAir>& on_air) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const double top = draw_heading(canvas, {area.x, area.y}, area.width, kRadioInTheLoop);
  const Table table = delivery_table(on_air);
  const double left = area.bottom() - top - table_height(canvas, area.width, table);
  const double height = std::min((left - 4 * kGrid) / 2.0, kMostHeight);
  draw_chart(canvas, {area.x, top, area.width, height}, over_chart(pictures).chart);
  draw_chart(canvas, {area.x, top + height + 2 * kGrid, area.width, height},
             moment_chart(pictures).chart);
  draw_table(canvas, {area.x, top + 2 * (height + 2 * kGrid)}, area.width, area.bottom(), table);
}

}  // namespace sagbench::reports
