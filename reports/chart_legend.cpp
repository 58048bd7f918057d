#include "reports/chart_legend.hpp"

#include "reports/paragraph.hpp"

namespace sagbench::reports {
namespace {

constexpr double kSample = 18.0;
constexpr double kGap = 4.0;
constexpr double kBetween = 12.0;
constexpr double kFieldHeight = 6.0;
constexpr Stroke kFieldFrame{kGrey, 0.4};
constexpr Font kFont{6.8, Weight::regular, kInk};

void draw_sample(Canvas& canvas, Point left, const LegendEntry& entry) {
  if (entry.fill) {
    const Rect field{left.x, left.y - kFieldHeight / 2, kSample, kFieldHeight};
    canvas.fill(field, *entry.fill);
    return canvas.frame(field, kFieldFrame);
  }
  if (entry.line) canvas.line(left, {left.x + kSample, left.y}, entry.stroke);
  draw_marker(canvas, {left.x + kSample / 2, left.y}, entry.marker, entry.stroke.colour);
}

}  // namespace

std::vector<LegendEntry> legend_of(const Chart& chart) {
  std::vector<LegendEntry> entries;
  for (const Panel& panel : chart.panels) {
    for (const Curve& curve : panel.curves) {
      if (curve.name.empty()) continue;
      const Marker marker = curve.markers || curve.end_marker ? curve.look.marker : Marker::none;
      entries.push_back({curve.name, curve.look.stroke, marker, curve.joined});
    }
    for (const LimitLine& limit : panel.limits) {
      if (!limit.name.empty()) entries.push_back({limit.name, limit.stroke, Marker::none, true});
    }
  }
  for (const FillKey& key : chart.fills)
    entries.push_back({key.name, {}, Marker::none, false, key.fill});
  return entries;
}

double draw_legend(Canvas& canvas, Point top_left, double width,
                   const std::vector<LegendEntry>& entries) {
  double x = top_left.x;
  double top = top_left.y;
  for (const LegendEntry& entry : entries) {
    const std::string name = fit(canvas, entry.name, kFont, width - kSample - kGap);
    const double needed = kSample + kGap + canvas.text_width(name, kFont);
    if (x > top_left.x && x + needed > top_left.x + width) {
      x = top_left.x;
      top += kLeading;
    }
    draw_sample(canvas, {x, top + kLeading / 2}, entry);
    canvas.text({x + kSample + kGap, baseline(top)}, name, kFont);
    x += needed + kBetween;
  }
  return entries.empty() ? top : top + kLeading;
}

}  // namespace sagbench::reports
