// Pages as pictures: what the geometry says was drawn must be there, and nothing in the margins.

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/pdf_document.hpp"
#include "reports/report_pages.hpp"
#include "temporary_folder.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;

/// One pixel a point, 0 black to 255 white.
struct Pixels {
  int width = 0;
  int height = 0;
  std::vector<unsigned char> grey;

  bool is_dark(int x, int y) const {
    constexpr int kDark = 170;  // thin black lines fade as they are smoothed; the grid is paler
    return grey[static_cast<std::size_t>(y * width + x)] < kDark;
  }
  /// Places of dark pixels that `where` takes.
  template <class Where>
  std::vector<Point> dark(const Where& where) const {
    std::vector<Point> places;
    for (int y = 0; y < height; ++y)
      for (int x = 0; x < width; ++x)
        if (const Point middle{x + 0.5, y + 0.5}; is_dark(x, y) && where(middle))
          places.push_back(middle);
    return places;
  }
};

Pixels read_pgm(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::string kind;
  int most = 0;
  Pixels pixels;
  file >> kind >> pixels.width >> pixels.height >> most;
  file.get();
  pixels.grey.resize(static_cast<std::size_t>(pixels.width * pixels.height));
  file.read(reinterpret_cast<char*>(pixels.grey.data()),
            static_cast<std::streamsize>(pixels.grey.size()));
  REQUIRE((file && kind == "P5" && most == 255));
  return pixels;
}

std::vector<Pixels> rendered(PdfDocument& document) {
  const tests::TemporaryFolder folder;
  std::ofstream(folder.file("pages.pdf"), std::ios::binary) << document.bytes();
  const std::string command =
      "pdftoppm -gray -r 72 '" + folder.file("pages.pdf") + "' '" + folder.file("page") + "'";
  REQUIRE(std::system(command.c_str()) == 0);
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(folder.path()))
    if (entry.path().extension() == ".pgm") paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  std::vector<Pixels> pages;
  for (const auto& path : paths) pages.push_back(read_pgm(path));
  return pages;
}

bool within(const Rect& rect, const Point& point) {
  return contains(rect, {point.x, point.y, 0.0, 0.0});
}

/// What is wrong with a page by its pixels.
std::vector<std::string> pixel_faults(const Canvas& page, const Pixels& pixels) {
  std::vector<std::string> faults;
  const Rect inner = page.inner().inset(-1.0);  // the width of a line, and its smoothing
  const auto outside = pixels.dark([&](const Point& point) { return !within(inner, point); });
  if (!outside.empty())
    faults.push_back(
        fmt::format("drawn in the margins, first at {}, {}", outside.front().x, outside.front().y));
  if (pixels.dark([](const Point&) { return true; }).empty()) faults.push_back("empty page");
  for (const Rect& plot : page.plots()) {
    constexpr double kFrame = 2.0;
    const Rect inside = plot.inset(kFrame);
    const auto drawn = pixels.dark([&](const Point& point) { return within(inside, point); });
    if (static_cast<double>(drawn.size()) < inside.width / 4)
      faults.push_back(fmt::format("empty plot at {:.0f}, {:.0f}", plot.x, plot.y));
  }
  return faults;
}

std::vector<std::string> faults_of(PdfDocument& document) {
  const auto pixels = rendered(document);
  REQUIRE(pixels.size() == document.pages().size());
  std::vector<std::string> faults;
  auto page = document.pages().begin();
  for (const Pixels& picture : pixels)
    for (const auto& fault : pixel_faults(*page++, picture)) faults.push_back(fault);
  return faults;
}

TEST_CASE("a report with every picture: nothing overlaps, leaves its page or is empty") {
  PdfDocument document("test", "");
  draw_test_report(document, fixture::measured_in_full());
  CHECK(document.layout_faults() == std::vector<std::string>{});
  std::size_t plots = 0;
  for (const Canvas& page : document.pages()) plots += page.plots().size();
  CHECK(plots >= 18);
  CHECK(faults_of(document) == std::vector<std::string>{});
}

TEST_CASE("the check by pixels sees what is wrong") {
  PdfDocument document("test", "");
  Canvas& page = document.add_page();
  std::string wanted;
  SECTION("a line that leaves the page") {
    page.line({100, 100}, {590, 100}, {});
    wanted = "drawn in the margins, first at 545.5, ";
  }
  SECTION("nothing at all") {
    wanted = "empty page";
  }
  SECTION("a plot with its grid but no curve") {
    page.frame({100, 100, 200, 100}, {kGrey, 0.5});
    page.line({100, 150}, {300, 150}, {kPale, 0.4});
    page.plot({100, 100, 200, 100}, 0.0, "plot", [] {});
    wanted = "empty plot at 100, 100";
  }
  const auto faults = faults_of(document);
  REQUIRE(faults.size() == 1);
  CHECK(faults.front().starts_with(wanted));
}

}  // namespace
}  // namespace sagbench::reports
