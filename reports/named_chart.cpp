#include "reports/named_chart.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <vector>

#include "reports/chart_legend.hpp"

namespace sagbench::reports {
namespace {

std::string tile_words(const Panel& panel) {
  std::string words;
  for (const Tile& tile : panel.tiles) {
    words += fmt::format("{}{}", words.empty() ? "" : "; ", tile.text);
    if (!tile.second.empty()) words += ", " + tile.second;
  }
  return words;
}

}  // namespace

std::string words_of(const Chart& chart) {
  std::vector<std::string> panels, names;
  for (const Panel& panel : chart.panels) {
    panels.push_back(panel.y_title);
    if (!panel.tiles.empty()) names.push_back(tile_words(panel));
  }
  for (const LegendEntry& entry : legend_of(chart)) names.push_back(entry.name);
  std::string words = fmt::format("{} against {}.", fmt::join(panels, ", "), chart.x_title);
  if (!names.empty()) words += fmt::format(" With {}.", fmt::join(names, "; "));
  return words;
}

}  // namespace sagbench::reports
