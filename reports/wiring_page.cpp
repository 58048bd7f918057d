#include "reports/wiring_page.hpp"

#include <fmt/format.h>

#include <array>
#include <filesystem>

#include "reports/atomic_file.hpp"
#include "reports/caution_box.hpp"
#include "reports/number_text.hpp"
#include "reports/page_flow.hpp"
#include "reports/report_page.hpp"
#include "reports/svg_canvas.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;

constexpr double kWithHeading = 60.0;
constexpr double kSvgWidth = 480.0;
constexpr double kSvgMargin = 20.0;

// Common practice, no source: what is live last is live shortest.
constexpr std::array kOrder = {
    "Input of the load off. Take off rings and watch; insulate the spanner; cover the terminal "
    "that "
    "you are not at.",
    "Heavy leads to the load first, plus to plus, screwed tight. Plugs and lugs warm where they "
    "are "
    "loose.",
    "Sense leads and cell taps to the meter, then to the pack, from the negative end up, each "
    "behind "
    "its small fuse.",
    "Thermometer against the middle of the pack, covered, so that it feels the pack and not the "
    "room.",
    "Heavy minus to the pack, then heavy plus, last. Taking off: heavy plus first.",
    "sagbench check tells polarity, taps and voltages before anything is drawn.",
};

constexpr const char* kWhy =
    "The current flows through the heavy leads and drops voltage in them, in plugs and in the "
    "fuse. "
    "The sense leads carry next to none: what is measured at their ends is the pack's own voltage, "
    "so that a thin cable does not count as the pack's sag. They therefore end on the pack's own "
    "terminals, never on the load's.";

void put_order(PageFlow& flow) {
  flow.heading("In which order", kWithHeading);
  int number = 0;
  for (const char* step : kOrder) flow.paragraph(fmt::format("{}. {}", ++number, step), kBody);
}

}  // namespace

void draw_wiring_page(PdfDocument& document, const WiringSheet& sheet,
                      const std::string& software) {
  PageFlow flow(document);
  flow.title(sheet.title);
  if (!sheet.subtitle.empty()) flow.paragraph(sheet.subtitle, kBody);
  flow.space(kGrid);
  flow.heading("Four terminals", kWithHeading);
  draw_wiring(flow.canvas(), flow.take(kWiringHeight), sheet.wiring);
  flow.paragraph(as_printed(words_of(sheet.wiring)), kBody);
  flow.space(kGrid);
  flow.paragraph(kWhy, kBody);
  flow.space(kGrid);
  put_order(flow);
  if (!sheet.figures.empty()) {
    flow.space(kGrid);
    flow.heading("These leads", kWithHeading);
    for (const std::string& line : sheet.figures) flow.paragraph(as_printed(line), kBody);
  }
  flow.space(2 * kGrid);
  const CautionBox box(flow.canvas(), {}, sheet.cautions, flow.width(), flow.room());
  const Rect rect = flow.take(box.height());
  box.draw(flow.canvas(), {rect.x, rect.y});
  draw_feet(document, software);
}

void write_wiring_page(const WiringSheet& sheet, const std::string& software,
                       const std::string& path, const ReportOptions& options) {
  const DecimalSign sign(options.decimal_sign);
  PdfDocument document(sheet.title, "", options.paper);
  draw_wiring_page(document, sheet, software);
  document.draw_references();
  write_file_whole(path, document.bytes());
}

std::string wiring_svg(const WiringSheet& sheet) {
  const PdfDocument document("", "");  // for its typeface
  SvgCanvas canvas(kSvgWidth, kWiringHeight, document.typeface());
  Rect room{kSvgMargin, 0, kSvgWidth - 2 * kSvgMargin, kWiringHeight};
  draw_wiring(canvas, room, sheet.wiring);
  return canvas.document(sheet.title, words_of(sheet.wiring));
}

void write_wiring_svg(const WiringSheet& sheet, const std::string& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) throw ReportError(fmt::format("{}: cannot be made: {}", folder, error.message()));
  write_file_whole((fs::path(folder) / "wiring.svg").string(), wiring_svg(sheet));
}

}  // namespace sagbench::reports
