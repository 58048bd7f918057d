#include "reports/chart_tile.hpp"

#include "reports/paragraph.hpp"

namespace sagbench::reports {
namespace {

constexpr double kRoom = 2.0;
constexpr double kTextSize = 7.0;
constexpr double kSecondSize = 6.0;

/// How light a colour looks (Recommendation ITU-R BT.709, 3.2), near enough without its gamma.
double lightness(const Colour& colour) {
  return 0.2126 * colour.red + 0.7152 * colour.green + 0.0722 * colour.blue;
}

}  // namespace

void draw_tile(Canvas& canvas, const Rect& rect, const Tile& tile) {
  canvas.fill(rect, tile.fill);
  canvas.frame(rect, {kWhite, 0.8});
  const Colour ink = lightness(tile.fill) > 0.5 ? kInk : kWhite;
  const Font first{kTextSize, Weight::bold, ink}, second{kSecondSize, Weight::regular, ink};
  const double x = rect.x + rect.width / 2, width = rect.width - 2 * kRoom;
  double top = rect.y + (rect.height - (tile.second.empty() ? 1 : 2) * kLeading) / 2;
  canvas.text({x, baseline(top)}, fit(canvas, tile.text, first, width), first, Align::centre);
  if (tile.second.empty()) return;
  top += kLeading;
  canvas.text({x, baseline(top)}, fit(canvas, tile.second, second, width), second, Align::centre);
}

}  // namespace sagbench::reports
