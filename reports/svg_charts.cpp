#include "reports/svg_charts.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>
#include <vector>

#include "reports/atomic_file.hpp"
#include "reports/paragraph.hpp"
#include "reports/pdf_document.hpp"
#include "reports/report_page.hpp"
#include "reports/run_charts.hpp"
#include "reports/svg_canvas.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;

constexpr double kWidth = 480.0;
constexpr double kFrame = 80.0;  // title, legend, axis, foot
constexpr double kPanel = 130.0;
constexpr double kTileRow = 34.0;

double height_of(const Chart& chart) {
  double height = kFrame;
  for (const Panel& panel : chart.panels)
    height += panel.tiles.empty() ? kPanel * panel.share
                                  : kTileRow * static_cast<double>(panel.y_ticks.size());
  return height;
}

/// A chart leaves its report, and must still say what it is of.
std::string origin_words(const ReportInput& input) {
  return fmt::format("{}{} \xC2\xB7 run {} \xC2\xB7 {}", input.recording.pack.name,
                     is_simulated(input) ? " (simulated)" : "", input.record.id,
                     date_words(input.record.header.utc));
}

std::string svg_of(const NamedChart& chart, const std::string& origin, const Typeface& typeface) {
  SvgCanvas canvas(kWidth, height_of(chart.chart), typeface);
  Rect room = canvas.inner();
  room.height -= kLeading;
  draw_chart(canvas, room, chart.chart);
  canvas.text({room.x, baseline(room.bottom())}, fit(canvas, origin, kSmall, room.width), kSmall);
  return canvas.document(chart.chart.title, words_of(chart.chart) + " " + origin);
}

}  // namespace

void write_svg_charts(const ReportInput& input, const std::string& folder) {
  write_svg_charts(charts_of(input), origin_words(input), folder, "the run holds no samples");
}

void write_svg_charts(const std::vector<NamedChart>& charts, const std::string& origin,
                      const std::string& folder, const std::string& why_none) {
  if (charts.empty()) throw ReportError(folder + ": nothing to draw: " + why_none);
  const PdfDocument document("", "");  // for its typeface
  std::vector<WholeFile> files;
  files.reserve(charts.size());
  for (const NamedChart& chart : charts)
    files.push_back({(fs::path(folder) / (chart.name + ".svg")).string(),
                     svg_of(chart, origin, document.typeface())});
  std::error_code error;
  const bool made = fs::create_directories(folder, error);
  if (error) throw ReportError(fmt::format("{}: cannot be made: {}", folder, error.message()));
  try {
    write_files_whole(files);
  } catch (const ReportError&) {
    if (made) fs::remove(folder, error);
    throw;
  }
}

}  // namespace sagbench::reports
