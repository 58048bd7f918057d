#include "reports/operator_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reports/air_picture.hpp"
#include "reports/capacity_bar.hpp"
#include "reports/caution_box.hpp"
#include "reports/cautions.hpp"
#include "reports/evidence_page.hpp"
#include "reports/hours_table.hpp"
#include "reports/number_text.hpp"
#include "reports/peaks_evidence.hpp"
#include "reports/report_page.hpp"
#include "reports/report_series.hpp"
#include "reports/run_words.hpp"
#include "reports/verdict_box.hpp"

namespace sagbench::reports {
namespace {

constexpr Font kPackName{17.0, Weight::bold, kBlack};
constexpr double kColumnGap = 16.0;
constexpr double kLeastPeaks = 120.0;
constexpr double kLeastRun = 360.0;
constexpr std::string_view kDash = "\xE2\x80\x93";

std::string when_words(const ReportInput& input) {
  const std::string& utc = input.record.header.utc;
  const std::string verb = is_imported(input.recording) ? "Measured elsewhere, archived: "
                           : is_simulated(input) ? "SIMULATED on the virtual bench, no real pack: "
                                                 : "Tested: ";
  return verb + date_words(utc) + ", " + age_words(input.recording.pack, utc) + ".";
}

double draw_title(Canvas& canvas, const Rect& area, const ReportInput& input) {
  canvas.mark("At a glance", area.y);
  const auto& pack = input.recording.pack;
  const auto name = wrap_at_most(canvas, pack.name, kPackName, area.width, 2);
  double top = draw_lines(canvas, {area.x, area.y}, name, kPackName, 4 * kGrid);
  std::string facts = pack_words(pack);
  if (pack.mass_kg) facts += ", " + quantity_text(*pack.mass_kg, "kg");
  top = draw_lines(canvas, {area.x, top}, wrap(canvas, facts, kBodyBold, area.width), kBodyBold);
  const auto when = wrap(canvas, when_words(input), kBody, area.width);
  top = draw_lines(canvas, {area.x, top}, when, kBody);
  if (input.figures.complete || is_imported(input.recording)) return top;
  const std::string ended = "NOT COMPLETE. " + end_words(input.record);
  return draw_lines(canvas, {area.x, top}, wrap_at_most(canvas, ended, kBodyBold, area.width, 2),
                    kBodyBold);
}

std::string energy_words(const analysis::Figures& figures) {
  if (!figures.capacity) return std::string(kDash) + " (see capacity)";
  return measured_text(figures.capacity->energy_wh, "Wh");
}

Table figures_table(const ReportInput& input) {
  const auto& figures = input.figures;
  const auto& pack = input.recording.pack;
  Table table{{{"Figure", 1.0}, {"Measured", 1.5}}, {}, kBody, 3};
  table.rows.push_back({"Energy", energy_words(figures)});
  if (figures.capacity && pack.mass_kg && *pack.mass_kg > 0.0) {
    table.rows.push_back(
        {"Energy for its mass",
         quantity_text(figures.capacity->energy_wh.value / *pack.mass_kg, "Wh/kg")});
  }
  table.rows.push_back(
      {"D.c. resistance",
       figures.dc_resistance
           ? fmt::format("{} ({})", resistance_text(figures.dc_resistance->ohm),
                         figures.dc_resistance->method)
           : fmt::format("{} ({})", kDash, as_printed(figures.dc_resistance.why()))});
  for (const auto& rating : figures.ratings) {
    if (!rating.usable_capacity_ah) continue;
    table.rows.push_back({fmt::format("Usable on {}", name_of(rating.radio_class)),
                          (rating.usable_is_minimum ? "at least " : "") +
                              quantity_text(*rating.usable_capacity_ah, "Ah")});
  }
  return table;
}

double draw_figures(Canvas& canvas, Point top_left, double width, const ReportInput& input) {
  const double column = (width - kColumnGap) / 2;
  const double left = draw_capacity(canvas, top_left, column, input.figures, input.recording.pack);
  const Point right_corner{top_left.x + column + kColumnGap, top_left.y};
  const double top =
      draw_heading(canvas, right_corner, column, "Energy and resistance", MarkLevel::section);
  refer_from_heading(canvas, right_corner, column, kAllFigures);
  const auto table = figures_table(input);
  const double limit = top + table_height(canvas, column, table);
  return std::max(left, draw_table(canvas, {right_corner.x, top}, column, limit, table).bottom);
}

// The room between figures and cautions, by what the run holds: the radio on the air; else the held
// peaks; else the run itself.
OperatorPage draw_picture(Canvas& canvas, const Rect& room, const ReportInput& input) {
  OperatorPage done;
  if (const auto minute = air_minute(input.recording)) {
    draw_air_minute(canvas, room, *minute, input.figures);
    return done;
  }
  if (room.height < kLeading) return done;
  const std::string why =
      "No picture of the voltage under transmit: this run has no transmit step with samples.";
  const double top =
      draw_lines(canvas, {room.x, room.y}, {fit(canvas, why, kBody, room.width)}, kBody) + kGrid;
  const Rect rest{room.x, top, room.width, room.bottom() - top};
  done.peaks_drawn = !input.figures.peaks.empty() && rest.height >= kLeastPeaks;
  done.run_drawn = input.figures.peaks.empty() && rest.height >= kLeastRun;
  if (done.peaks_drawn) draw_peaks(canvas, rest, input);
  if (done.run_drawn) draw_run_evidence(canvas, rest, input);
  return done;
}

}  // namespace

OperatorPage draw_operator_page(PdfDocument& document, const ReportInput& input) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  double top = draw_title(canvas, area, input) + kGrid;
  top = draw_verdicts(canvas, {area.x, top}, area.width, input) + 2 * kGrid;
  top = draw_figures(canvas, {area.x, top}, area.width, input) + 2 * kGrid;
  const auto usual = safety_cautions(input.recording.pack);
  const double least_cautions = CautionBox(canvas, {}, usual, area.width, area.height).height();
  const double lowest = area.bottom() - least_cautions - kAirMinuteLeast - 8 * kGrid;
  top = draw_hours(canvas, {area.x, top}, area.width, input.operations, lowest) + kGrid;
  const CautionBox cautions(canvas, run_cautions(input), usual, area.width,
                            area.bottom() - top - kAirMinuteLeast);
  const double box_top = area.bottom() - cautions.height();
  OperatorPage done =
      draw_picture(canvas, {area.x, top, area.width, box_top - 2 * kGrid - top}, input);
  cautions.draw(canvas, {area.x, box_top});
  done.cautions_complete = cautions.complete();
  return done;
}

}  // namespace sagbench::reports
