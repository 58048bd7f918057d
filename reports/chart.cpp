#include "reports/chart.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "reports/chart_axis.hpp"
#include "reports/chart_legend.hpp"
#include "reports/chart_tile.hpp"
#include "reports/paragraph.hpp"
#include "reports/thinning.hpp"

namespace sagbench::reports {
namespace {

constexpr double kLeftGutter = 32.0;  // tick labels of the vertical axes
constexpr double kPanelGap = 3.0;
constexpr double kClearance = 0.03;       // of the span: keeps curves and limits off the frame
constexpr double kColumnsPerPoint = 1.5;  // thinning: finer than print shows at this line width
constexpr double kUnseen = 0.04;          // a line so far off its place, in points, is at its place
constexpr Font kTick{6.4, Weight::regular, kGrey};
constexpr Font kAxisTitle{6.8, Weight::regular, kInk};
constexpr Font kTitle{8.0, Weight::bold, kInk};
constexpr Stroke kTickLine{kPale, 0.4};

struct Reach {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();

  void take(double value) {
    if (!std::isfinite(value)) return;
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

Axis x_axis_of(const Chart& chart, double width) {
  Reach reach;
  for (const Panel& panel : chart.panels) {
    for (const Curve& curve : panel.curves) {
      for (const Point& point : curve.points) reach.take(point.x);
    }
    for (const Tile& tile : panel.tiles) {
      reach.take(tile.field.x);
      reach.take(tile.field.right());
    }
  }
  constexpr double kPointsPerTick = 40.0;
  const int ticks = std::max(2, static_cast<int>(width / kPointsPerTick));
  const double low = chart.x_low.value_or(reach.low);
  const double room = chart.x_room ? kClearance * (reach.high - low) : 0.0;
  return axis_exact(low, reach.high + room, ticks);
}

/// Nothing between tiles and frame.
Axis tiled_axis_of(const Panel& panel) {
  Reach reach;
  for (const Tile& tile : panel.tiles) {
    reach.take(tile.field.y);
    reach.take(tile.field.bottom());
  }
  return axis_exact(reach.low, reach.high, std::max(2, static_cast<int>(panel.tiles.size())));
}

Axis y_axis_of(const Panel& panel, const Axis& x_axis, double height) {
  if (!panel.tiles.empty()) return tiled_axis_of(panel);
  Reach reach;
  for (const Curve& curve : panel.curves) {
    for (const Point& point : curve.points) {
      if (point.x >= x_axis.low && point.x <= x_axis.high) reach.take(point.y);
    }
  }
  for (const LimitLine& limit : panel.limits) reach.take(limit.y);
  if (panel.from_zero) reach.take(0.0);
  const double clearance = kClearance * (reach.high - reach.low);
  reach.take(reach.high + clearance);
  // A hair below zero is the noise of an instrument at rest, not worth a tick.
  if (panel.from_zero && reach.low > -clearance) {
    reach.low = 0.0;
  } else {
    reach.take(reach.low - clearance);
  }
  constexpr double kPointsPerTick = 18.0;
  return axis_to_ticks(reach.low, reach.high,
                       std::max(2, static_cast<int>(height / kPointsPerTick)));
}

/// Draws one panel's curves inside its plot area.
class PanelPainter {
 public:
  PanelPainter(Canvas& canvas, const Rect& plot, const Axis& x_axis, const Axis& y_axis)
      : canvas_(canvas), plot_(plot), x_axis_(x_axis), y_axis_(y_axis) {}

  void grid(const std::vector<Tick>& y_ticks) {
    for (const double tick : x_axis_.ticks()) {
      const double x = place({tick, 0}).x;
      canvas_.line({x, plot_.y}, {x, plot_.bottom()}, kTickLine);
    }
    for (const Tick& tick : y_ticks) {
      const double y = place({0, tick.at}).y;
      canvas_.line({plot_.x, y}, {plot_.right(), y}, kTickLine);
      canvas_.text({plot_.x - 3, y + 2.2}, tick.label, kTick, Align::right);
    }
    canvas_.frame(plot_, {kGrey, 0.5});
  }

  void tile(const Tile& tile) {
    const Point low = place({tile.field.x, tile.field.y});
    const Point high = place({tile.field.right(), tile.field.bottom()});
    draw_tile(canvas_, {low.x, high.y, high.x - low.x, low.y - high.y}, tile);
  }

  void limit(const LimitLine& limit) {
    const double y = place({0, limit.y}).y;
    canvas_.line({plot_.x, y}, {plot_.right(), y}, limit.stroke);
  }

  void curve(const Curve& curve) {
    const int columns = static_cast<int>(plot_.width * kColumnsPerPoint);
    const auto points = thin(curve.points, x_axis_.low, x_axis_.high, columns);
    std::vector<Point> stretch;
    const auto draw_stretch = [&] {
      if (curve.joined) canvas_.polyline(straightened(stretch, kUnseen), curve.look.stroke);
      if (curve.markers) {
        for (const Point& at : stretch) {
          draw_marker(canvas_, at, curve.look.marker, curve.look.stroke.colour);
        }
      }
      stretch.clear();
    };
    for (const Point& point : points) {
      if (std::isfinite(point.y)) {
        stretch.push_back(place(point));
      } else {
        draw_stretch();
      }
    }
    draw_stretch();
    if (curve.end_marker && !points.empty()) {
      draw_marker(canvas_, place(points.back()), curve.look.marker, curve.look.stroke.colour);
    }
  }

  Point place(Point value) const {
    return {plot_.x + x_axis_.share(value.x) * plot_.width,
            plot_.bottom() - y_axis_.share(value.y) * plot_.height};
  }

 private:
  Canvas& canvas_;
  Rect plot_;
  const Axis& x_axis_;
  const Axis& y_axis_;
};

std::vector<Tick> ticks_of(const Axis& axis) {
  std::vector<Tick> ticks;
  for (const double at : axis.ticks()) ticks.push_back({at, axis.label(at)});
  return ticks;
}

void draw_panel(Canvas& canvas, const Rect& plot, const Panel& panel, const Axis& x_axis) {
  const Axis y_axis = y_axis_of(panel, x_axis, plot.height);
  PanelPainter painter(canvas, plot, x_axis, y_axis);
  painter.grid(panel.y_ticks.empty() ? ticks_of(y_axis) : panel.y_ticks);
  // A marker on the frame is drawn whole: the cut leaves it room.
  constexpr double kMarkerRoom = 3.0;
  for (const LimitLine& limit : panel.limits) painter.limit(limit);
  canvas.plot(plot, kMarkerRoom, panel.y_title, [&] {
    for (const Tile& tile : panel.tiles) painter.tile(tile);
    for (const Curve& curve : panel.curves) painter.curve(curve);
  });
}

void draw_bands(Canvas& canvas, const Rect& strip, double bottom, const Chart& chart,
                const Axis& x_axis) {
  const auto place = [&](double x) {
    return strip.x + std::clamp(x_axis.share(x), 0.0, 1.0) * strip.width;
  };
  double taken_to = strip.x;  // bands of a spoilt archive may lie over each other: labels must not
  for (const Band& band : chart.bands) {
    const double from = place(band.from), to = place(band.to);
    if (band.shaded) canvas.fill({from, strip.y, to - from, bottom - strip.y}, kMist);
    canvas.line({from, strip.y}, {from, strip.bottom()}, {kGrey, 0.4});
    const auto fits = [&](const std::string& label) {
      return canvas.text_width(label, kTick) + 2 < to - std::max(from, taken_to);
    };
    const std::string& label = fits(band.label) ? band.label : band.short_label;
    if (!fits(label)) continue;
    const Point middle{(std::max(from, taken_to) + to) / 2, baseline(strip.y)};
    canvas.text(middle, label, kTick, Align::centre);
    taken_to = to;
  }
}

void draw_x_labels(Canvas& canvas, const Rect& plot, const Axis& x_axis, const std::string& title) {
  const double top = plot.bottom() + 1.0;  // clear of the lowest label of the vertical axis
  for (const double tick : x_axis.ticks()) {
    const double x = plot.x + x_axis.share(tick) * plot.width;
    const std::string label = x_axis.label(tick);
    const double half = canvas.text_width(label, kTick) / 2;
    canvas.text({std::min(x, plot.right() - half), baseline(top)}, label, kTick, Align::centre);
  }
  canvas.text({plot.x + plot.width / 2, baseline(top + kLeading)}, title, kAxisTitle,
              Align::centre);
}

// Height of the panels' plots together, after titles and gaps.
double plots_height(const Chart& chart, double available) {
  const auto panels = static_cast<double>(chart.panels.size());
  return available - panels * kLeading - (panels - 1) * kPanelGap;
}

}  // namespace

Panel panel_of(std::string y_title, Curve curve) {
  Panel panel;
  panel.y_title = std::move(y_title);
  panel.curves.push_back(std::move(curve));
  return panel;
}

void draw_chart(Canvas& canvas, const Rect& rect, const Chart& chart) {
  canvas.claim(rect, "chart " + chart.title);
  double top = rect.y;
  if (!chart.title.empty()) {
    canvas.mark(chart.title, rect.y, MarkLevel::section);
    constexpr double kReferenceRoom = 40.0;
    const double room = rect.width - (chart.see.empty() ? 0.0 : kReferenceRoom);
    canvas.text({rect.x, baseline(top)}, fit(canvas, chart.title, kTitle, room), kTitle);
    if (!chart.see.empty()) canvas.refer({rect.right(), baseline(top)}, chart.see);
    top += kLeading;
  }
  top = draw_legend(canvas, {rect.x, top}, rect.width, legend_of(chart));
  const double x = rect.x + kLeftGutter;
  const double width = rect.right() - x;
  const Axis x_axis = x_axis_of(chart, width);
  const double bottom = rect.bottom() - 2 * kLeading - 1.0;
  if (!chart.bands.empty()) {
    draw_bands(canvas, {x, top, width, kLeading}, bottom, chart, x_axis);
    top += kLeading;
  }
  double shares = 0.0;
  for (const Panel& panel : chart.panels) shares += panel.share;
  const double plots = plots_height(chart, bottom - top);
  for (const Panel& panel : chart.panels) {
    canvas.text({x, baseline(top)}, fit(canvas, panel.y_title, kAxisTitle, width), kAxisTitle);
    const Rect plot{x, top + kLeading, width, plots * panel.share / shares};
    draw_panel(canvas, plot, panel, x_axis);
    top = plot.bottom() + kPanelGap;
  }
  draw_x_labels(canvas, {x, bottom - 1, width, 1}, x_axis, chart.x_title);
}

}  // namespace sagbench::reports
