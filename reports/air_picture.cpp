#include "reports/air_picture.hpp"

#include <algorithm>
#include <string>

#include "reports/chart.hpp"
#include "reports/number_text.hpp"
#include "reports/paragraph.hpp"

namespace sagbench::reports {
namespace {

constexpr double kMostHeight = 270.0;

Chart air_chart(const AirMinute& minute, const analysis::Figures& figures) {
  Chart chart;
  chart.title = "A minute on the air, from the middle of step " + std::to_string(minute.step + 1) +
                ": " + minute.radio.name;
  if (minute.mode) chart.title += ", " + std::string(name_of(*minute.mode));
  for (const auto& air : figures.on_air) {
    if (air.step != minute.step) continue;
    chart.title += "; lowest in the whole step: " + quantity_text(air.lowest_supply_v, "V", 4);
  }
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

}  // namespace

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
