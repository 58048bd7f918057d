#include "reports/evidence_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "reports/chart.hpp"
#include "reports/number_text.hpp"
#include "reports/peaks_evidence.hpp"
#include "reports/report_page.hpp"
#include "reports/report_series.hpp"
#include "reports/verdict_facts.hpp"

namespace sagbench::reports {
namespace {

const SeriesLook kVoltageLook{{kBlack, 0.8}, Marker::none};
const SeriesLook kCurrentLook{{kBlue, 0.8}, Marker::none};

double draw_line(Canvas& canvas, const Rect& room, const std::string& text) {
  const auto lines = wrap_at_most(canvas, text, kBody, room.width, 2);
  return draw_lines(canvas, {room.x, room.y}, lines, kBody);
}

LimitLine end_voltage_line(const analysis::Recording& recording) {
  const double end_v = analysis::end_of_discharge_voltage_v(recording.pack);
  return {"end-of-discharge voltage " + quantity_text(end_v, "V", 4), end_v};
}

std::vector<Band> step_bands(const analysis::Recording& recording, const TimeUnit& unit) {
  std::vector<Band> bands;
  for (std::size_t i = 0; i < recording.steps.size(); ++i) {
    const auto& step = recording.steps[i];
    if (step.end_s <= step.start_s) continue;
    bands.push_back({step.start_s / unit.seconds, step.end_s / unit.seconds,
                     fmt::format("{} {}", i + 1, name_of(step.kind)), std::to_string(i + 1),
                     i % 2 == 1});
  }
  return bands;
}

Chart run_chart(const analysis::Recording& recording) {
  const auto& samples = recording.samples;
  const TimeUnit unit = time_unit(samples.back().time_s - samples.front().time_s);
  Chart chart;
  chart.title = "The whole run: voltage and current";
  chart.x_title = "Time since the start (" + unit.name + "); shaded bands: steps";
  chart.bands = step_bands(recording, unit);
  chart.panels = {{"Pack voltage (V)",
                   {{"", voltage_over_time(recording, unit), kVoltageLook}},
                   {end_voltage_line(recording)},
                   1.5},
                  {"Current (A), discharge positive",
                   {{"", current_over_time(recording, unit), kCurrentLook}},
                   {},
                   1.0,
                   true}};
  return chart;
}

Chart discharge_chart(const ReportInput& input, std::vector<Point> curve) {
  Chart chart;
  chart.title = "Discharge: voltage against charge removed";
  chart.x_title = "Charge removed (Ah)";
  chart.x_low = 0.0;
  chart.x_room = true;
  chart.panels = {{"Pack voltage (V)",
                   {{"", std::move(curve), kVoltageLook}},
                   {end_voltage_line(input.recording)}}};
  return chart;
}

double draw_discharge(Canvas& canvas, const Rect& room, const ReportInput& input) {
  auto curve = discharge_curve(input.recording, input.figures);
  if (curve.size() < 2) {
    const std::string why = input.figures.capacity ? "no samples" : input.figures.capacity.why();
    return draw_line(canvas, room, "No discharge curve: " + why);
  }
  draw_chart(canvas, room, discharge_chart(input, std::move(curve)));
  return room.bottom();
}

}  // namespace

double draw_run_evidence(Canvas& canvas, const Rect& room, const ReportInput& input) {
  if (input.recording.samples.size() < 2) {
    return draw_line(canvas, room, "No pictures: this run holds no samples to draw.");
  }
  constexpr double kMostHeight = 470.0, kGap = 2 * kGrid, kRunShare = 0.59;
  const double height = std::min(room.height, kMostHeight) - kGap;
  const Rect run{room.x, room.y, room.width, height * kRunShare};
  draw_chart(canvas, run, run_chart(input.recording));
  return draw_discharge(canvas, {room.x, run.bottom() + kGap, room.width, height - run.height},
                        input);
}

void draw_evidence_page(PdfDocument& document, const ReportInput& input, bool with_peaks) {
  Canvas& canvas = document.add_page();
  const Rect area = content_area(canvas);
  constexpr double kPeaksHeight = 200.0;
  const VerdictFacts facts(canvas, input.figures.ratings, area.width);
  const double facts_top = area.bottom() - facts.height();
  double top = draw_heading(canvas, {area.x, area.y}, area.width, "Evidence");
  const double pictures_end = facts_top - (with_peaks ? kPeaksHeight + 2 * kGrid : 0.0) - 2 * kGrid;
  top = draw_run_evidence(canvas, {area.x, top, area.width, pictures_end - top}, input);
  facts.draw(canvas, {area.x, facts_top});
  if (!with_peaks) return;
  top += 2 * kGrid;
  draw_peaks(canvas, {area.x, top, area.width, facts_top - 2 * kGrid - top}, input);
}

}  // namespace sagbench::reports
