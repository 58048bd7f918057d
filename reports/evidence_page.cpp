#include "reports/evidence_page.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "reports/number_text.hpp"
#include "reports/paragraph.hpp"
#include "reports/peaks_evidence.hpp"
#include "reports/report_page.hpp"
#include "reports/run_charts.hpp"
#include "reports/verdict_facts.hpp"

namespace sagbench::reports {
namespace {

constexpr double kGap = 2 * kGrid;

double draw_line(Canvas& canvas, const Rect& room, const std::string& text) {
  const auto lines = wrap_at_most(canvas, text, kBody, room.width, 2);
  return draw_lines(canvas, {room.x, room.y}, lines, kBody);
}

/// Side by side, or why not.
double draw_discharge(Canvas& canvas, const Rect& room, const ReportInput& input) {
  const auto voltage = discharge_chart(input);
  const auto energy = energy_chart(input);
  if (!voltage || !energy) {
    const std::string why =
        input.figures.capacity ? "no samples" : as_printed(input.figures.capacity.why());
    return draw_line(canvas, room, "No discharge curve: " + why);
  }
  constexpr double kBetween = 16.0;
  const double width = (room.width - kBetween) / 2;
  draw_chart(canvas, {room.x, room.y, width, room.height}, voltage->chart);
  draw_chart(canvas, {room.right() - width, room.y, width, room.height}, energy->chart);
  return room.bottom();
}

}  // namespace

double draw_run_evidence(Canvas& canvas, const Rect& room, const ReportInput& input) {
  const auto run = run_chart(input);
  if (!run) return draw_line(canvas, room, "No pictures: this run holds no samples to draw.");
  constexpr double kMostHeight = 560.0, kRunShare = 0.63;
  const double height = std::min(room.height, kMostHeight) - kGap;
  const Rect upper{room.x, room.y, room.width, height * kRunShare};
  draw_chart(canvas, upper, run->chart);
  return draw_discharge(canvas, {room.x, upper.bottom() + kGap, room.width, height - upper.height},
                        input);
}

void draw_evidence_page(PdfDocument& document, const ReportInput& input) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const VerdictFacts facts(canvas, input.figures.ratings, area.width);
  const double facts_top = area.bottom() - facts.height();
  const double top = draw_heading(canvas, {area.x, area.y}, area.width, "Evidence");
  draw_run_evidence(canvas, {area.x, top, area.width, facts_top - kGap - top}, input);
  facts.draw(canvas, {area.x, facts_top});
}

void draw_pack_evidence(PdfDocument& document, const ReportInput& input, bool with_peaks) {
  std::vector<NamedChart> charts;
  for (const auto make : {decay_chart, open_circuit_chart, cells_chart})
    if (auto chart = make(input)) charts.push_back(*std::move(chart));
  with_peaks = with_peaks && !input.figures.peaks.empty();
  const std::size_t rows = charts.size() + (with_peaks ? 1 : 0);
  if (rows == 0) return;
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  double top = draw_heading(canvas, {area.x, area.y}, area.width, "Evidence: peaks, rests, cells");
  constexpr double kMostHeight = 230.0;
  const double each = (area.bottom() - top + kGap) / static_cast<double>(rows) - kGap;
  const double height = std::min(each, kMostHeight);
  if (with_peaks) {
    draw_peaks(canvas, {area.x, top, area.width, height}, input);
    top += height + kGap;
  }
  for (const NamedChart& named : charts) {
    draw_chart(canvas, {area.x, top, area.width, height}, named.chart);
    top += height + kGap;
  }
}

}  // namespace sagbench::reports
