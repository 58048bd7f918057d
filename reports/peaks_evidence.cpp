#include "reports/peaks_evidence.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "analysis/sag_points.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

using analysis::Peak;

/// Volts below the rest `after_s` after the edge; with the reading's own age where it came later.
std::string point_text(const std::vector<analysis::SagPoint>& points, double after_s) {
  const auto point = std::ranges::find(points, after_s, &analysis::SagPoint::after_s);
  if (point == points.end()) return "\xE2\x80\x93";
  std::string text = fixed_text(point->below_rest_v, 3);
  constexpr double kLate = 1.25;  // a reading within that says the same
  if (point->read_after_s > kLate * after_s)
    text += " (" + quantity_text(point->read_after_s, "s", 2) + ")";
  return text;
}

std::string time_title(double after_s) {
  constexpr double kMilli = 1000.0, kUnderASecond = 0.1;
  return after_s < kUnderASecond ? quantity_text(kMilli * after_s, "ms")
                                 : quantity_text(after_s, "s");
}

TableRow peak_row(const Peak& peak, bool with_reason) {
  TableRow row = {percent_text(peak.charge), quantity_text(peak.current_a, "A"),
                  quantity_text(peak.held_s, "s", 2), fixed_text(peak.rest_v, 2)};
  for (const double after_s : analysis::kSagTimes_s) row.push_back(point_text(peak.sag, after_s));
  row.push_back(point_text(peak.recovery, analysis::kRecoveryTimes_s.back()));
  if (with_reason) row.push_back(peak.full_hold ? "" : peak.ended);
  return row;
}

/// Sag in volts below the rest; the last column of them is what is left of it after the release.
Table peaks_table(const std::vector<Peak>& peaks) {
  const bool with_reason =
      std::ranges::any_of(peaks, [](const Peak& peak) { return !peak.full_hold; });
  Table table{{{"Charge", 0.8, Align::right},
               {"Current", 0.9, Align::right},
               {"Held", 0.6, Align::right},
               {"Rest, V", 0.8, Align::right}},
              {},
              {6.8, Weight::regular, kInk},
              3};
  for (const double after_s : analysis::kSagTimes_s)
    table.columns.push_back({"V at " + time_title(after_s), 0.8, Align::right});
  table.columns.push_back(
      {"left, " + time_title(analysis::kRecoveryTimes_s.back()), 0.8, Align::right});
  if (with_reason) table.columns.push_back({"Let go early", 1.7});
  for (const Peak& peak : peaks) table.rows.push_back(peak_row(peak, with_reason));
  return table;
}

}  // namespace

void draw_peaks(Canvas& canvas, const Rect& room, const ReportInput& input) {
  const auto& peaks = input.figures.peaks;
  if (peaks.empty()) {
    const std::string why = "No held peaks: the run has no peak-current step that came to one.";
    draw_lines(canvas, {room.x, room.y}, wrap(canvas, why, kBody, room.width), kBody);
    return;
  }
  constexpr double kGap = 16.0;
  constexpr double kMostHeight = 200.0;
  constexpr double kChartShare = 0.4;
  const double column = (room.width - kGap) * kChartShare;
  draw_chart(canvas, {room.x, room.y, column, std::min(room.height, kMostHeight)},
             sag_chart(input)->chart);
  const double x = room.x + column + kGap;
  const auto drawn = draw_table(canvas, {x, room.y}, room.right() - x, room.bottom() - kLeading,
                                peaks_table(peaks));
  if (drawn.rows_left > 0) {
    canvas.text({x, baseline(drawn.bottom)}, fmt::format("and {} more peaks", drawn.rows_left),
                kSmall);
  }
}

}  // namespace sagbench::reports
