// The radio in the loop: what it asked for, what was drawn, what the pack did.
#include <string>
#include <utility>

#include "reports/run_charts.hpp"

namespace sagbench::reports {
namespace {

std::string radio_words(const OverPictures& pictures) {
  std::string words = "step " + std::to_string(pictures.step + 1) + ": " + pictures.radio.name;
  if (pictures.mode) words += ", " + std::string(name_of(*pictures.mode));
  return words;
}

/// What was drawn is a thin dark line on the broad pale one of what was asked for: where both
/// agree, both are seen, in grey too.
Chart chart_of(const CloseLook& look, std::string title, bool markers) {
  Chart chart;
  chart.title = std::move(title);
  chart.x_low = 0.0;
  chart.x_title = "Time (s)";
  chart.x_room = markers;
  Curve asked{"asked for", look.asked_a, {{kOrange, 2.4}, Marker::none}};
  Curve drawn{"drawn, as measured", look.delivered_a, {{kBlack, 0.7}, Marker::disc}, markers};
  Curve pack{"", look.pack_v, {{kBlack, 0.8}, Marker::disc}, markers};
  chart.panels = {{"Current (A)", {asked, drawn}, {}, 1.2, true},
                  {"Pack voltage (V)", {pack}, {}, 1.0}};
  return chart;
}

}  // namespace

NamedChart over_chart(const OverPictures& pictures) {
  return {"asked-against-delivered",
          chart_of(pictures.over, "One over (" + radio_words(pictures) + ")", false)};
}

NamedChart moment_chart(const OverPictures& pictures) {
  return {
      "asked-against-delivered-close",
      chart_of(pictures.moment, "A syllable or key-down of it, around the greatest rise", true)};
}

}  // namespace sagbench::reports
