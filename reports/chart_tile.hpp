#pragma once
// One field of a map.

#include "reports/chart.hpp"

namespace sagbench::reports {

/// In `rect` on the canvas; its texts are shortened to fit, and light on a dark fill.
void draw_tile(Canvas& canvas, const Rect& rect, const Tile& tile);

}  // namespace sagbench::reports
