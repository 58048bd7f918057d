#include "reports/operator_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reports/capacity_bar.hpp"
#include "reports/caution_box.hpp"
#include "reports/cautions.hpp"
#include "reports/chart.hpp"
#include "reports/iso_date.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"
#include "reports/report_series.hpp"
#include "reports/verdict_box.hpp"

namespace sagbench::reports {
namespace {

constexpr Font kPackName{17.0, Weight::bold, kBlack};
constexpr double kColumnGap = 16.0;
constexpr double kLeastPicture = 105.0;
constexpr double kMostPicture = 190.0;
constexpr std::string_view kDash = "\xE2\x80\x93";

double draw_title(Canvas& canvas, const Rect& area, const ReportInput& input) {
  const auto& pack = input.recording.pack;
  const auto name = wrap_at_most(canvas, pack.name, kPackName, area.width, 2);
  double top = draw_lines(canvas, {area.x, area.y}, name, kPackName, 4 * kGrid);
  std::string facts = pack_words(pack);
  if (pack.mass_kg) facts += ", " + quantity_text(*pack.mass_kg, "kg");
  top = draw_lines(canvas, {area.x, top}, wrap(canvas, facts, kBodyBold, area.width), kBodyBold);
  const char* verb = is_imported(input.recording) ? "Measured elsewhere, archived" : "Tested";
  std::string when = fmt::format("{} {}, {}", verb, date_words(input.record.header.utc),
                                 age_words(pack, input.record.header.utc));
  if (!input.figures.complete) when += ". The plan did not run to its end: see the last page";
  return draw_lines(canvas, {area.x, top}, wrap(canvas, when + ".", kBody, area.width), kBody);
}

std::string energy_words(const analysis::Figures& figures) {
  if (!figures.capacity) return std::string(kDash) + " (" + figures.capacity.why() + ")";
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
      {"D.c. resistance", figures.dc_resistance
                              ? fmt::format("{} ({})", resistance_text(figures.dc_resistance->ohm),
                                            figures.dc_resistance->method)
                              : fmt::format("{} ({})", kDash, figures.dc_resistance.why())});
  for (const auto& rating : figures.ratings) {
    if (!rating.usable_capacity_ah) continue;
    table.rows.push_back({fmt::format("Usable on {}", name_of(rating.radio_class)),
                          quantity_text(*rating.usable_capacity_ah, "Ah")});
  }
  return table;
}

double draw_figures(Canvas& canvas, Point top_left, double width, const ReportInput& input) {
  const double column = (width - kColumnGap) / 2;
  const double left = draw_capacity(canvas, top_left, column, input.figures, input.recording.pack);
  const Point right_corner{top_left.x + column + kColumnGap, top_left.y};
  const double top = draw_heading(canvas, right_corner, column, "Energy and resistance");
  const auto table = figures_table(input);
  const double limit = top + table_height(canvas, column, table);
  return std::max(left, draw_table(canvas, {right_corner.x, top}, column, limit, table).bottom);
}

std::string enough_words(const analysis::Endurance& endurance) {
  if (endurance.unlimited) return "yes";
  if (!endurance.enough) return std::string(kDash);
  return *endurance.enough ? "yes" : "no";
}

TableRow hours_row(const OperationHours& asked) {
  const auto& operation = asked.operation;
  const auto& answer = asked.endurance;
  const std::string hours = answer.unlimited ? "no end"
                            : answer.hours   ? measured_text(*answer.hours, "h")
                                             : std::string(kDash) + " " + answer.hours.why();
  return {operation.name,
          fmt::format("{}, {}, {} transmit", operation.radio.name, name_of(operation.mode),
                      percent_text(operation.transmit_share)),
          quantity_text(operation.hours, "h"),
          hours,
          enough_words(answer),
          answer.limited_by};
}

double draw_hours(Canvas& canvas, Point top_left, double width, const ReportInput& input) {
  if (input.operations.empty()) return top_left.y;
  constexpr std::size_t kMostRows = 5;
  double top = draw_heading(canvas, top_left, width, "Hours on the air");
  Table table{{{"Operation", 1.4},
               {"Radio", 2.0},
               {"Wanted", 0.6},
               {"Pack lasts", 1.1},
               {"Enough", 0.6},
               {"Limited by", 1.0}},
              {},
              kBody,
              2};
  for (const auto& operation : input.operations) {
    if (table.rows.size() < kMostRows) table.rows.push_back(hours_row(operation));
  }
  const double limit = top + table_height(canvas, width, table);
  top = draw_table(canvas, {top_left.x, top}, width, limit, table).bottom;
  const auto more = input.operations.size() - table.rows.size();
  if (more == 0) return top + kGrid;
  const auto line = fmt::format("and {} more: sagbench endurance prints each.", more);
  return draw_lines(canvas, {top_left.x, top}, {line}, kSmall) + kGrid;
}

Chart air_chart(const AirMinute& minute) {
  Chart chart;
  chart.title = "A minute on the air, from the middle of step " + std::to_string(minute.step + 1) +
                ": " + minute.radio.name;
  if (minute.mode) chart.title += ", " + std::string(name_of(*minute.mode));
  chart.x_title = "Time (s)";
  SeriesLook plain{{kBlack, 0.8}, Marker::none};
  Panel voltage{"Voltage at the radio (V)", {{"", minute.supply_v, plain}}, {}, 2.0};
  voltage.limits.push_back(
      {"lowest supply voltage the radio takes, " + quantity_text(minute.radio.supply_min_v, "V", 4),
       minute.radio.supply_min_v});
  SeriesLook current{{kBlue, 0.8}, Marker::none};
  chart.panels = {voltage, {"Current (A)", {{"", minute.current_a, current}}, {}, 1.0, true}};
  return chart;
}

void draw_picture(Canvas& canvas, const Rect& room, const ReportInput& input) {
  const auto minute = air_minute(input.recording);
  std::string why;
  if (!minute) {
    why = "No picture of the voltage under transmit: this run has no transmit step with samples.";
  } else if (room.height < kLeastPicture) {
    why = "No room for the picture of the voltage under transmit on this page.";
  }
  if (!why.empty()) {
    if (room.height < kLeading) return;
    draw_lines(canvas, {room.x, room.y}, wrap_at_most(canvas, why, kBody, room.width, 1), kBody);
    return;
  }
  draw_chart(canvas, {room.x, room.y, room.width, std::min(room.height, kMostPicture)},
             air_chart(*minute));
}

}  // namespace

std::size_t draw_operator_page(PdfDocument& document, const ReportInput& input) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  double top = draw_title(canvas, area, input) + kGrid;
  top = draw_verdicts(canvas, {area.x, top}, area.width, input) + 2 * kGrid;
  top = draw_figures(canvas, {area.x, top}, area.width, input) + 2 * kGrid;
  top = draw_hours(canvas, {area.x, top}, area.width, input) + kGrid;
  const auto usual = safety_cautions(input.recording.pack);
  const CautionBox cautions(canvas, input.figures.cautions, usual, area.width,
                            std::max(area.bottom() - top - kMostPicture, 0.0));
  const double box_top = area.bottom() - cautions.height();
  draw_picture(canvas, {area.x, top, area.width, box_top - 2 * kGrid - top}, input);
  cautions.draw(canvas, {area.x, box_top});
  return cautions.left_out();
}

}  // namespace sagbench::reports
