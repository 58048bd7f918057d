#include "reports/over_page.hpp"

#include <algorithm>
#include <string>

#include "reports/chart.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr double kMostHeight = 320.0;

std::string radio_words(const OverPictures& pictures) {
  std::string words = "step " + std::to_string(pictures.step + 1) + ": " + pictures.radio.name;
  if (pictures.mode) words += ", " + std::string(name_of(*pictures.mode));
  return words;
}

Chart chart_of(const CloseLook& look, std::string title, bool markers) {
  Chart chart;
  chart.title = std::move(title);
  chart.x_low = 0.0;
  chart.x_title = "Time (s)";
  Curve asked{"asked for", look.asked_a, {{kVermilion, 1.4}, Marker::none}};
  Curve drawn{"drawn, as measured", look.delivered_a, {{kBlue, 0.8}, Marker::disc}, markers};
  Curve pack{"", look.pack_v, {{kBlack, 0.8}, Marker::disc}, markers};
  chart.panels = {{"Current (A)", {asked, drawn}, {}, 1.2, true},
                  {"Pack voltage (V)", {pack}, {}, 1.0}};
  return chart;
}

}  // namespace

void draw_over_page(PdfDocument& document, const OverPictures& pictures) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  const double top = draw_heading(canvas, {area.x, area.y}, area.width, "The radio in the loop");
  const double height = std::min((area.bottom() - top - 2 * kGrid) / 2.0, kMostHeight);
  draw_chart(canvas, {area.x, top, area.width, height},
             chart_of(pictures.over, "One over (" + radio_words(pictures) + ")", false));
  draw_chart(canvas, {area.x, top + height + 2 * kGrid, area.width, height},
             chart_of(pictures.moment, "A moment of it, around the greatest rise", true));
}

}  // namespace sagbench::reports
