#pragma once
// A picture of curves: one or more panels, one above the other, over one horizontal axis. Vector
// drawing; the legend stands above the panels and never on a curve.

#include <optional>
#include <string>
#include <vector>

#include "reports/canvas.hpp"

namespace sagbench::reports {

struct Curve {
  std::string name;           // empty: not in the legend
  std::vector<Point> points;  // in the units of the axes; a non-finite y breaks the curve
  SeriesLook look;
  bool markers = false;  // at every point
  bool joined = true;
  bool end_marker = false;  // at the last point: tells dense curves apart without colour
};

/// A horizontal line, such as a limit.
struct LimitLine {
  std::string name;
  double y = 0.0;
  Stroke stroke{kVermilion, 1.0, {4, 2}};
};

/// A stretch of the horizontal axis with a name above the panels.
struct Band {
  double from = 0.0;
  double to = 0.0;
  std::string label;
  std::string short_label;  // where `label` does not fit
  bool shaded = false;
};

/// A filled field, such as one of a map, with a line or two of text in its middle.
struct Tile {
  Rect field;  // in the units of the axes, y upwards from its lower edge
  Colour fill;
  std::string text;
  std::string second;
};

struct Tick {
  double at = 0.0;
  std::string label;
};

struct Panel {
  std::string y_title;  // quantity and unit: "Voltage (V)"
  std::vector<Curve> curves;
  std::vector<LimitLine> limits;
  double share = 1.0;  // of the height
  bool from_zero = false;
  std::vector<Tile> tiles{};
  std::vector<Tick> y_ticks{};  // empty: by the values
};

/// Curves of long runs are large: they are moved, where a braced list of panels would copy them.
Panel panel_of(std::string y_title, Curve curve);

/// What the fill of tiles means.
struct FillKey {
  std::string name;
  Colour fill;
};

struct Chart {
  std::string title;
  std::string x_title;
  std::vector<Panel> panels;
  std::vector<Band> bands;
  std::vector<FillKey> fills{};
  std::optional<double> x_low;  // absent: what the curves span
  bool x_room = false;          // a little room to the right of the curves, for their ends' marks
  std::string see;              // title of what tells more: its page stands beside the title
};

/// Fills `rect`. Precondition: at least one panel has a tile, or a curve with a finite point; rect
/// at least 120 by 80 points.
void draw_chart(Canvas& canvas, const Rect& rect, const Chart& chart);

/// A small mark centred on `at`.
void draw_marker(Canvas& canvas, Point at, Marker marker, const Colour& colour);

}  // namespace sagbench::reports
