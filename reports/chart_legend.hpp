#pragma once
// The key of a picture: a sample of each line with its name, in rows.

#include <optional>
#include <string>
#include <vector>

#include "reports/chart.hpp"

namespace sagbench::reports {

struct LegendEntry {
  std::string name;
  Stroke stroke;
  Marker marker = Marker::none;
  bool line = true;
  std::optional<Colour> fill{};  // a field of it instead
};

/// Everything in the chart that has a name.
std::vector<LegendEntry> legend_of(const Chart& chart);
/// Draws rows from `top` down, each as full as `width` allows; returns where they end. Long names
/// are shortened.
double draw_legend(Canvas& canvas, Point top_left, double width,
                   const std::vector<LegendEntry>& entries);

}  // namespace sagbench::reports
