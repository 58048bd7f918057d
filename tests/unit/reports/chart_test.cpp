// Ticks and thinning: what a picture may not lose.
#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "catch.hpp"
#include "reports/chart.hpp"
#include "reports/chart_axis.hpp"
#include "reports/pdf_document.hpp"
#include "reports/thinning.hpp"

namespace sagbench::reports {
namespace {

TEST_CASE("ticks are 1, 2 or 5 times a power of ten and never too many") {
  for (double span = 1e-3; span < 1e6; span *= 1.37) {
    const double step = tick_step(span, 8);
    const double mantissa = step / std::pow(10.0, std::floor(std::log10(step) + 1e-9));
    CAPTURE(span, step);
    CHECK((mantissa == Approx(1.0) || mantissa == Approx(2.0) || mantissa == Approx(5.0)));
    CHECK(span / step <= 8.0 + 1e-6);
    CHECK(span / step > 8.0 / 2.6);  // the next finer step would be too many
  }
}

TEST_CASE("an axis moved to whole ticks holds its data and labels what it shows") {
  const Axis axis = axis_to_ticks(11.37, 13.62, 6);
  CHECK(axis.low == Approx(11.0));
  CHECK(axis.high == Approx(14.0));
  CHECK(axis.ticks().size() == 7);
  CHECK(axis.label(11.5) == "11.5");
  CHECK(axis.share(12.5) == Approx(0.5));
}

TEST_CASE("a level curve and data that are no numbers still give an axis") {
  const Axis level = axis_to_ticks(13.2, 13.2, 5);
  CHECK(level.low < 13.2);
  CHECK(level.high > 13.2);
  const double infinity = std::numeric_limits<double>::infinity();
  CHECK(axis_exact(infinity, -infinity, 5).ticks().size() > 1);
}

std::vector<Point> long_run(std::size_t count) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < count; ++i) points.push_back({static_cast<double>(i) * 0.1, 13.2});
  return points;
}

TEST_CASE("a spike of one sample in 360,000 stays, at its full height") {
  auto points = long_run(360000);
  const auto at = GENERATE(std::size_t{0}, std::size_t{123456}, std::size_t{359999});
  points[at].y = 9.1;
  const auto thinned = thin(points, 0.0, 36000.0, 700);
  CHECK(thinned.size() <= 4 * 701);
  const auto lowest = std::min_element(thinned.begin(), thinned.end(),
                                       [](const Point& a, const Point& b) { return a.y < b.y; });
  CHECK(lowest->y == 9.1);
  CHECK(lowest->x == points[at].x);
}

TEST_CASE("thinning keeps order, ends and breaks") {
  auto points = long_run(10000);
  for (std::size_t i = 0; i < points.size(); ++i) points[i].y = std::sin(static_cast<double>(i));
  points[5000].y = std::numeric_limits<double>::quiet_NaN();
  const auto thinned = thin(points, 0.0, 1000.0, 50);
  CHECK(thinned.front().x == points.front().x);
  CHECK(thinned.back().x == points.back().x);
  CHECK(std::is_sorted(thinned.begin(), thinned.end(),
                       [](const Point& a, const Point& b) { return a.x < b.x; }));
  CHECK(std::count_if(thinned.begin(), thinned.end(),
                      [](const Point& p) { return std::isnan(p.y); }) == 1);
}

TEST_CASE("few points are not thinned") {
  const std::vector<Point> points = {{0.0, 1.0}, {1.0, 2.0}, {2.0, 0.5}};
  CHECK(thin(points, 0.0, 2.0, 700).size() == 3);
  CHECK(thin({}, 0.0, 1.0, 700).empty());
}

TEST_CASE("a picture of ten hours at ten samples a second is a small file") {
  PdfDocument empty("empty", "");
  empty.add_page();
  PdfDocument full("full", "");
  Curve curve{"voltage", long_run(360000), series_look(0)};
  for (std::size_t i = 0; i < curve.points.size(); ++i) {
    curve.points[i].y += std::sin(static_cast<double>(i) * 0.7);
  }
  Chart chart;
  chart.x_title = "Time (s)";
  chart.panels = {{"Voltage (V)", {curve}, {}}};
  draw_chart(full.add_page(), {60, 100, 450, 300}, chart);
  constexpr std::size_t kLimit = 100'000;  // three such pictures stay below the 300 kB of a report
  CHECK(full.bytes().size() - empty.bytes().size() < kLimit);
}

TEST_CASE("two curves of one picture never look the same") {
  for (std::size_t a = 0; a < 12; ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      const auto one = series_look(a), other = series_look(b);
      const bool same_dash = one.stroke.dash.on == other.stroke.dash.on &&
                             one.stroke.dash.off == other.stroke.dash.off;
      const bool same_colour = one.stroke.colour.red == other.stroke.colour.red &&
                               one.stroke.colour.blue == other.stroke.colour.blue;
      CAPTURE(a, b);
      CHECK_FALSE((same_dash && (same_colour || one.marker == other.marker)));
    }
  }
}

}  // namespace
}  // namespace sagbench::reports
