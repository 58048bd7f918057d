#include "reports/chart.hpp"

namespace sagbench::reports {
namespace {

constexpr double kRadius = 2.1;
constexpr double kLine = 0.9;

}  // namespace

void draw_marker(Canvas& canvas, Point at, Marker marker, const Colour& colour) {
  const double r = kRadius;
  switch (marker) {
    case Marker::none:
      return;
    case Marker::disc:
      return canvas.disc(at, r, colour);
    case Marker::ring:
      return canvas.ring(at, r, {colour, kLine});
    case Marker::square:
      return canvas.fill({at.x - r, at.y - r, 2 * r, 2 * r}, colour);
    case Marker::diamond: {
      const double d = 1.35 * r;
      const Point corners[] = {
          {at.x, at.y - d}, {at.x + d, at.y}, {at.x, at.y + d}, {at.x - d, at.y}};
      return canvas.polygon(corners, colour);
    }
    case Marker::triangle: {
      const Point corners[] = {
          {at.x, at.y - 1.2 * r}, {at.x + 1.2 * r, at.y + r}, {at.x - 1.2 * r, at.y + r}};
      return canvas.polygon(corners, colour);
    }
    case Marker::cross:
      canvas.line({at.x - r, at.y - r}, {at.x + r, at.y + r}, {colour, kLine});
      return canvas.line({at.x - r, at.y + r}, {at.x + r, at.y - r}, {colour, kLine});
  }
}

}  // namespace sagbench::reports
