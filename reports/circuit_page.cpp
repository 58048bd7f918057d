#include "reports/circuit_page.hpp"

#include <string>

#include "analysis/peak_current.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

constexpr double kGap = 2 * kGrid;

std::string capability_words(const analysis::Recording& recording) {
  const auto radio = analysis::leading_radio(recording);
  const std::string floor = radio ? "the supply at the radio (" + radio->name +
                                        ", its cable included) falls to " +
                                        quantity_text(radio->supply_min_v, "V", 4)
                                  : "the pack falls to its end-of-discharge voltage";
  return "Largest current from rest, with \xC2\xB1 expanded uncertainty (k = 2), until " + floor +
         " at the end of the hold. Where pack, fuse, load or the tested range allow less, that "
         "stands instead.";
}

/// From the bottom of `room` up; returns where it begins.
double draw_capability(Canvas& canvas, const Rect& room, const ReportInput& input) {
  const auto map = capability_chart(input);
  if (!map) return room.bottom();
  constexpr double kHeight = 190.0;
  const auto words = wrap(canvas, capability_words(input.recording), kBody, room.width);
  const double top = room.bottom() - kHeight - static_cast<double>(words.size()) * kLeading - kGrid;
  draw_chart(canvas, {room.x, top, room.width, kHeight}, map->chart);
  draw_lines(canvas, {room.x, top + kHeight + kGrid}, words, kBody);
  return top - kGap;
}

}  // namespace

void draw_circuit_page(PdfDocument& document, const ReportInput& input) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const double top = draw_heading(canvas, {area.x, area.y}, area.width, "The pack as a circuit");
  const double bottom =
      draw_capability(canvas, {area.x, top, area.width, area.bottom() - top}, input);
  constexpr double kCircuitShare = 0.64;
  const double height = (bottom - top) * kCircuitShare;
  draw_chart(canvas, {area.x, top, area.width, height}, circuit_chart(input)->chart);
  const auto residuals = residuals_chart(input);
  const double below = top + height + kGap;
  if (residuals) draw_chart(canvas, {area.x, below, area.width, bottom - below}, residuals->chart);
}

}  // namespace sagbench::reports
