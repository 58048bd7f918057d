#pragma once
// Places on a page, in points (1/72 inch) from its top left corner, y downwards as one reads.

#include <algorithm>

namespace sagbench::reports {

struct Point {
  double x = 0.0;
  double y = 0.0;
};

struct Rect {
  double x = 0.0;
  double y = 0.0;
  double width = 0.0;
  double height = 0.0;

  double right() const noexcept { return x + width; }
  double bottom() const noexcept { return y + height; }
  Rect inset(double by) const noexcept {
    return {x + by, y + by, std::max(0.0, width - 2 * by), std::max(0.0, height - 2 * by)};
  }
};

/// Closer than this is touching, not overlapping.
inline constexpr double kTouch = 0.1;

inline bool overlap(const Rect& a, const Rect& b) noexcept {
  return a.x < b.right() - kTouch && b.x < a.right() - kTouch && a.y < b.bottom() - kTouch &&
         b.y < a.bottom() - kTouch;
}

inline bool contains(const Rect& outer, const Rect& inner) noexcept {
  return inner.x >= outer.x - kTouch && inner.y >= outer.y - kTouch &&
         inner.right() <= outer.right() + kTouch && inner.bottom() <= outer.bottom() + kTouch;
}

}  // namespace sagbench::reports
