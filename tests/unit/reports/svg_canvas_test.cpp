// Pictures as SVG: the same layout as in a PDF, whole files, names that cannot break them.
#include <string>
#include <vector>

#include "catch.hpp"
#include "reports/chart.hpp"
#include "reports/pdf_document.hpp"
#include "reports/svg_canvas.hpp"

namespace sagbench::reports {
namespace {

Chart two_curves() {
  Chart chart;
  chart.title = "Sag";
  chart.x_title = "Current (A)";
  chart.x_room = true;
  chart.panels = {{"Sag (V)",
                   {{"full", {{0, 0}, {10, 0.4}}, series_look(0), true},
                    {"half", {{0, 0}, {10, 0.6}}, series_look(3), true}},
                   {{"limit", 0.5}}}};
  return chart;
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t found = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++found;
  return found;
}

constexpr Font kBlackText{8.0, Weight::regular, kBlack};

TEST_CASE("a chart drawn as SVG is a sound picture of all its parts") {
  PdfDocument document("test", "");
  SvgCanvas canvas(300, 200, document.typeface());
  draw_chart(canvas, canvas.inner(), two_curves());
  CHECK(canvas.layout_faults().empty());
  const std::string svg = canvas.document("Sag", "Sag against current");
  CHECK(svg.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg "));
  CHECK(svg.ends_with("</svg>\n"));
  CHECK(count(svg, "<svg ") == count(svg, "</svg>"));
  for (const std::string part : {"<title>Sag</title>", "<desc>Sag against current</desc>",
                                 "viewBox=\"0 0 300 200\"", ">Current (A)</text>", ">half</text>"})
    CHECK(count(svg, part) == 1);
  CHECK(count(svg, "<circle ") == 2 * 3);  // two points and a legend, disc and ring
}

TEST_CASE("names cannot break out of their text in an SVG") {
  PdfDocument document("test", "");
  SvgCanvas canvas(300, 200, document.typeface());
  canvas.text({20, 20}, "a<b> & c", kBlackText);
  const std::string svg = canvas.document("<x>\x01", "&");
  CHECK(count(svg, ">a&lt;b&gt; &amp; c</text>") == 1);
  CHECK(count(svg, "<title>&lt;x&gt;\xEF\xBF\xBD</title>\n<desc>&amp;</desc>") == 1);
}

TEST_CASE("letters are as wide in an SVG as in a PDF") {
  PdfDocument document("test", "");
  const SvgCanvas picture(300, 200, document.typeface());
  const Canvas& page = document.add_page();
  CHECK(picture.text_width("Sag (m\xCE\xA9)", kBlackText) ==
        page.text_width("Sag (m\xCE\xA9)", kBlackText));
}

}  // namespace
}  // namespace sagbench::reports
