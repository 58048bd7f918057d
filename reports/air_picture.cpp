#include "reports/air_picture.hpp"

#include <algorithm>
#include <string>

#include "reports/chart.hpp"
#include "reports/number_text.hpp"
#include "reports/paragraph.hpp"
#include "reports/report_page.hpp"
#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

constexpr double kMostHeight = 270.0;

std::string title_of(const AirMinute& minute) {
  constexpr double kNearlyAMinute = 55.0;  // a step may be shorter than what was to be shown
  const bool whole = minute.supply_v.back().x > kNearlyAMinute;
  std::string title = whole ? "A minute on the air (step " : "On the air (step ";
  title += std::to_string(minute.step + 1) + "): " + minute.radio.name;
  if (minute.mode) title += ", " + std::string(name_of(*minute.mode));
  return title;
}

Chart air_chart(const AirMinute& minute, const analysis::Figures& figures) {
  Chart chart;
  chart.title = title_of(minute);
  chart.see = kRadioInTheLoop;
  chart.x_low = 0.0;
  chart.x_title = "Time (s)";
  SeriesLook plain{{kBlack, 0.8}, Marker::none};
  Panel voltage{"Voltage at the radio (V)", {{"", minute.supply_v, plain}}, {}, 2.0};
  voltage.limits.push_back(
      {"lowest supply voltage the radio takes, " + quantity_text(minute.radio.supply_min_v, "V", 4),
       minute.radio.supply_min_v});
  for (const auto& air : figures.on_air) {
    if (air.step != minute.step) continue;
    voltage.limits.push_back(
        {"lowest in the whole step, " + quantity_text(air.lowest_supply_v, "V", 4),
         air.lowest_supply_v,
         {kGrey, 0.8, {1, 2}}});
  }
  SeriesLook current{{kBlue, 0.8}, Marker::none};
  chart.panels = {voltage, {"Current (A)", {{"", minute.current_a, current}}, {}, 1.0, true}};
  return chart;
}

}  // namespace

NamedChart air_minute_chart(const AirMinute& minute, const analysis::Figures& figures) {
  return {"minute-on-the-air", air_chart(minute, figures)};
}

void draw_air_minute(Canvas& canvas, const Rect& room, const AirMinute& minute,
                     const analysis::Figures& figures) {
  if (room.height < kAirMinuteLeast - 2 * kGrid) {
    if (room.height < kLeading) return;
    const std::string why = "No room here for the picture of the voltage under transmit.";
    draw_lines(canvas, {room.x, room.y}, {fit(canvas, why, kBody, room.width)}, kBody);
    return;
  }
  draw_chart(canvas, {room.x, room.y, room.width, std::min(room.height, kMostHeight)},
             air_chart(minute, figures));
}

}  // namespace sagbench::reports
