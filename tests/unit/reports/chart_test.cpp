// Ticks and thinning: what a picture may not lose.
#include <zlib.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <sstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "catch.hpp"
#include "reports/chart.hpp"
#include "reports/chart_axis.hpp"
#include "reports/pdf_document.hpp"
#include "reports/svg_canvas.hpp"
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

TEST_CASE("a long row thinned while it is made keeps its spike, its ends and its breaks") {
  auto points = long_run(360000);
  points[123456].y = 9.1;
  points[200000].y = std::numeric_limits<double>::quiet_NaN();
  PointThinner thinner(points.size());
  for (const Point& point : points) thinner.add(point);
  const auto kept = thinner.take();
  CHECK(kept.size() < 4 * 5002);
  CHECK(std::ranges::count(kept, 9.1, &Point::y) == 1);
  CHECK(std::ranges::count_if(kept, [](const Point& p) { return std::isnan(p.y); }) == 1);
  CHECK(kept.front().x == points.front().x);
  CHECK(kept.back().x == points.back().x);
  CHECK(std::ranges::is_sorted(kept, {}, &Point::x));
  PointThinner few(9999);
  for (std::size_t i = 0; i < 9999; ++i)
    few.add({static_cast<double>(i), std::sin(1.3 * static_cast<double>(i))});
  CHECK(few.take().size() == 9999);
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

double distance(const Point& point, const Point& from, const Point& to) {
  const double x = to.x - from.x, y = to.y - from.y, length = std::hypot(x, y);
  const double along = ((point.x - from.x) * x + (point.y - from.y) * y) / length;
  const double share = std::clamp(along, 0.0, length) / length;
  return std::hypot(point.x - std::lerp(from.x, to.x, share),
                    point.y - std::lerp(from.y, to.y, share));
}

TEST_CASE(
    "straightening leaves no point further from the line than it says, and few on a smooth one") {
  std::vector<Point> curve;
  for (int i = 0; i <= 2000; ++i)
    curve.push_back({0.1 * i, 50.0 * std::sin(0.01 * i) + (i == 777 ? 3.0 : 0.0)});
  curve.push_back({100.0, 0.0});  // back, as a line may go
  const auto line = straightened(curve, 0.05);
  CHECK(line.size() < 200);
  CHECK(std::ranges::count(line, curve[777].y, &Point::y) == 1);
  CHECK(line.back().x == 100.0);
  for (const Point& point : curve) {
    double nearest = 1e9;
    for (std::size_t i = 1; i < line.size(); ++i)
      nearest = std::min(nearest, distance(point, line[i - 1], line[i]));
    CHECK(nearest < 0.0501);
  }
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
  // Three such pictures, whose letters are embedded once, stay below the 300 kB of a report.
  constexpr std::size_t kLimit = 105'000;
  CHECK(full.bytes().size() - empty.bytes().size() < kLimit);
}

/// The heights of all points of the longest line of a page, as its output has them.
std::vector<double> heights_of(const std::string& content, char to) {
  std::vector<double> heights, best;
  std::istringstream words(content);
  std::string before, word;
  while (words >> word) {
    char* end = nullptr;
    const double height = std::strtod(before.c_str(), &end);
    const bool number = end != before.c_str() && *end == '\0';  // fonts hold any bytes
    if (word == std::string(1, to) && number) heights.push_back(height);
    if (word == "S" && heights.size() > best.size()) best = std::exchange(heights, {});
    if (word == "S") heights.clear();
    before = word;
  }
  return best;
}

std::string inflated(const std::string& pdf) {
  std::string all;
  for (auto at = pdf.find("stream\n"); at != std::string::npos; at = pdf.find("stream\n", at + 1)) {
    const std::string_view packed = std::string_view(pdf).substr(at + 7);
    std::string room(4'000'000, '\0');
    auto size = static_cast<uLongf>(room.size());
    if (::uncompress(reinterpret_cast<Bytef*>(room.data()), &size,
                     reinterpret_cast<const Bytef*>(packed.data()),
                     static_cast<uLong>(packed.size())) == Z_OK)
      all += room.substr(0, size) + " ";
  }
  return all;
}

/// A path of an SVG, d="M1 2L3 4", in a PDF's order: d= S 1 2 l 3 4 S
std::string as_pdf_path(const std::string& svg) {
  std::string path;
  char before = ' ';
  for (const char c : svg) {
    if (c == '"')
      path += " S ";
    else if (c == 'L' && std::isdigit(static_cast<unsigned char>(before)) != 0)
      path += " l ";
    else if (c != 'M' || before != '"')
      path += c;
    before = c;
  }
  return path;
}

/// How far the lowest point lies below the rest of the curve, in points.
double depth_of(std::vector<double> heights, bool upwards) {
  if (upwards)
    for (double& height : heights) height = -height;
  std::ranges::sort(heights);
  return heights.back() - heights[heights.size() / 2];
}

TEST_CASE("a spike of one sample in 360,000 is drawn at its height, in a PDF as in an SVG") {
  auto points = long_run(360000);
  for (std::size_t i = 0; i < points.size(); ++i)
    points[i].y += 0.05 * std::sin(static_cast<double>(i));
  points[123456].y = 9.1;
  Chart chart;
  chart.title = "Spike";
  chart.x_title = "Time (s)";
  chart.panels = {{"Voltage (V)", {{"", points, series_look(0)}}, {}}};
  const Rect rect{60, 100, 450, 300};
  PdfDocument document("test", "");
  draw_chart(document.add_page(), rect, chart);
  SvgCanvas picture(600, 500, document.typeface());
  draw_chart(picture, rect, chart);
  const std::string svg = as_pdf_path(picture.document("", ""));
  const auto in_pdf = heights_of(inflated(document.bytes()), 'l');
  const auto in_svg = heights_of(svg, 'l');
  REQUIRE(in_pdf.size() > 1000);
  CHECK(depth_of(in_pdf, true) > 200.0);  // of some 260 that the plot is high
  CHECK(depth_of(in_svg, false) == Approx(depth_of(in_pdf, true)).margin(0.02));
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
