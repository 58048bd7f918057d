#include "reports/details_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reports/cautions.hpp"
#include "reports/figures_table.hpp"
#include "reports/flow.hpp"
#include "reports/method_rows.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"
#include "reports/run_words.hpp"
#include "reports/wiring_words.hpp"

namespace sagbench::reports {
namespace {

std::string or_dash(const std::string& text) {
  return text.empty() ? "\xE2\x80\x93" : text;
}

std::string or_dash(const std::optional<double>& value, const char* unit) {
  return value ? quantity_text(*value, unit) : "\xE2\x80\x93 (not stated)";
}

void add_end(Flow& flow, const ReportInput& input) {
  const auto& record = input.record;
  flow.heading("How the run ended");
  flow.paragraph(end_words(record));
  if (is_imported(input.recording)) {
    flow.paragraph("The samples were measured elsewhere; sagbench held no load in this run.");
  } else if (record.closing.load_confirmed_off) {
    flow.paragraph("The load said that its input is off, and the current was gone.");
  } else {
    flow.paragraph("Nothing on record confirms that the load went off.");
  }
}

void add_cautions(Flow& flow, const ReportInput& input) {
  flow.heading(kAllCautions);
  for (const auto& caution : run_cautions(input)) flow.paragraph(caution);
}

void add_missing(Flow& flow, const analysis::Figures& figures) {
  const auto lines = not_measured(figures);
  if (lines.empty()) return;
  flow.heading("What was not measured, and why");
  for (const auto& line : lines) flow.paragraph(line, 3);
}

void add_pack(Flow& flow, const analysis::Pack& pack) {
  flow.heading("Pack");
  flow.entry("Name", pack.name);
  flow.entry("Serial, builder", or_dash(pack.serial) + ", " + or_dash(pack.builder));
  flow.entry("Built", or_dash(pack.built));
  flow.entry("Make-up", pack_words(pack));
  flow.entry("Mass", or_dash(pack.mass_kg, "kg"));
  flow.entry("Highest current", or_dash(pack.max_discharge_current_a, "A"));
  flow.entry("Fuse", or_dash(pack.fuse_a, "A"));
  flow.entry("Protection board", pack.protection_board ? "yes" : "none stated");
  flow.entry("End of discharge", quantity_text(analysis::end_of_discharge_voltage_v(pack), "V", 4));
  flow.entry("Highest temperature", temperature_words(analysis::max_temperature_c(pack)));
  if (pack.price) {
    flow.entry("Price", quantity_text(pack.price->amount, pack.price->currency, 6));
  }
}

std::string temperature_accuracy_words(const analysis::Recording& recording) {
  if (recording.accuracy.temperature_c)
    return "±\xC2\xA0" + quantity_text(*recording.accuracy.temperature_c, "°C");
  const bool measured = std::ranges::any_of(
      recording.samples, [](const auto& sample) { return sample.temperature_c.has_value(); });
  return measured ? "accuracy not stated" : "not measured";
}

void add_accuracy(Flow& flow, const analysis::Recording& recording) {
  const auto& accuracy = recording.accuracy;
  const auto& voltage = accuracy.meter_voltage ? *accuracy.meter_voltage : accuracy.load_voltage;
  const char* source = accuracy.meter_voltage ? " (meter)" : " (load)";
  flow.entry(std::string("Voltage") + (is_imported(recording) ? "" : source),
             accuracy_words(voltage, "V"));
  flow.entry("Current", accuracy_words(accuracy.load_current, "A"));
  flow.entry("Temperature", temperature_accuracy_words(recording));
  if (accuracy.defaulted) {
    flow.paragraph(
        "Some accuracy was not stated: a wide default stands in (common practice for bench "
        "instruments, no source).");
  }
}

void add_bench(Flow& flow, const ReportInput& input) {
  flow.heading("Bench");
  for (const auto& instrument : input.record.header.instruments) {
    flow.entry(instrument.role,
               fmt::format("{}, at {}, {}", or_dash(instrument.identity), or_dash(instrument.port),
                           instrument.calibrated.empty() ? "no calibration date"
                                                         : "calibrated " + instrument.calibrated));
  }
  add_accuracy(flow, input.recording);
}

void add_wiring(Flow& flow, const ReportInput& input) {
  const auto entries = wiring_words(input);
  if (entries.empty()) return;
  flow.heading("Wiring and surroundings");
  for (const auto& [name, value] : entries) flow.entry(name, value);
}

void add_notes(Flow& flow, const RunRecord& record) {
  if (record.header.notes.empty()) return;
  flow.heading("Notes: limits of the bench, defaults used");
  for (const auto& note : record.header.notes) flow.paragraph(note, 3);
}

void add_events(Flow& flow, const RunRecord& record) {
  if (record.events.empty()) return;
  flow.heading("Events");
  for (const auto& event : record.events) {
    flow.paragraph(fmt::format("{} after the start, {}: {}", duration_text(event.time_s),
                               event.severity, event.text));
  }
}

void add_attachments(Flow& flow, const ReportInput& input, const std::vector<Attachment>& files) {
  flow.heading("The run itself, inside this PDF");
  if (files.empty()) {
    flow.paragraph(input.record.closing.end == RunEnd::running
                       ? "Not attached: the run has not ended."
                       : "Not attached: this PDF was asked for without.");
    return;
  }
  for (const Attachment& file : files) flow.entry(file.name, file.what);
  flow.paragraph(
      "Any PDF reader that lists attachments saves them; \"sagbench import --archive FILE\" and "
      "this "
      "PDF's name puts the run into an archive, unchanged.");
}

void add_method(Flow& flow, const ReportInput& input) {
  flow.heading("Method");
  flow.paragraph(
      "D.c. resistance by the two-current method of IEC 61960-3 where the table says so; rates in "
      "It as defined there. Uncertainty by JCGM 100:2008 (GUM), expanded with the factor k of the "
      "table. Verdicts by JCGM 106:2012 with a guard band: \"suits\" only when the margin exceeds "
      "its expanded uncertainty; within it, \"marginal\". Risks are those of this one pack, its "
      "margin's error taken as normal. "
      "The resistance of the radio's cable is taken as exact.",
      9);
  flow.entry("Run", input.record.id);
  flow.entry("SHA-256 of the run", input.record.seal.sha256.empty()
                                       ? "not sealed: the run has not ended"
                                       : input.record.seal.sha256);
  flow.entry("Started", date_words(input.record.header.utc));
  flow.entry("Software", or_dash(input.record.header.software));
  flow.entry("Samples", fmt::format("{}", input.recording.samples.size()));
}

void add_letters(Flow& flow, const PdfDocument& document) {
  const auto lines = document.shortcomings();
  if (lines.empty()) return;
  flow.heading("Letters");
  for (const auto& line : lines) flow.paragraph(line);
}

struct TitledTable {
  std::string title;
  Table table;
};

std::vector<TitledTable> wide_tables(const ReportInput& input) {
  std::vector<TitledTable> tables = {{kAllFigures, full_figures_table(input.figures)}};
  if (!input.figures.ratings.empty()) tables.push_back({"Ratings", ratings_table(input.figures)});
  if (!input.recording.steps.empty())
    tables.push_back({"Plan, as it ran", steps_table(input.recording)});
  tables.push_back({"Methods and standards", method_table(input.figures)});
  return tables;
}

double height_of(const Canvas& canvas, double width, const std::vector<TitledTable>& tables) {
  double height = 0.0;
  for (const TitledTable& wide : tables)
    height += kHeadingHeight + table_height(canvas, width, wide.table) + 2 * kGrid;
  return height;
}

/// Returns where the next thing may begin.
double draw_wide(Canvas& canvas, const Rect& area, double top, const TitledTable& wide) {
  top = draw_heading(canvas, {area.x, top}, area.width, wide.title);
  const auto drawn =
      draw_table(canvas, {area.x, top}, area.width, area.bottom() - kLeading, wide.table);
  if (drawn.rows_left == 0) return drawn.bottom + 2 * kGrid;
  const auto more =
      fmt::format("and {} more rows found no room: the archive has them all.", drawn.rows_left);
  return draw_lines(canvas, {area.x, drawn.bottom}, {more}, kSmall) + 2 * kGrid;
}

/// As many whole tables on a page as it has room for; what follows them begins on `canvas` at
/// `top`.
struct Place {
  Canvas* canvas;
  double top;
};

Place draw_tables(PdfDocument& document, const std::vector<TitledTable>& tables) {
  Place place{&document.add_page(), 0.0};
  const Rect area = content_area(*place.canvas);
  place.top = area.y;
  for (const TitledTable& wide : tables) {
    const bool fits = place.top + height_of(*place.canvas, area.width, {wide}) <= area.bottom();
    if (!fits && place.top > area.y) place = {&document.add_page(), area.y};
    place.top = draw_wide(*place.canvas, area, place.top, wide);
  }
  return place;
}

}  // namespace

void draw_details_page(PdfDocument& document, const ReportInput& input, bool all_cautions,
                       const std::vector<Attachment>& files) {
  Place place = draw_tables(document, wide_tables(input));
  const Rect area = content_area(*place.canvas);
  // With less room below the tables than that, the rest begins on a page of its own.
  constexpr double kLeastShare = 0.4;
  if (area.bottom() - place.top < kLeastShare * area.height) place = {&document.add_page(), area.y};
  place.canvas->mark("The run's record", place.top);
  Flow flow(document, *place.canvas,
            two_columns({area.x, place.top, area.width, area.bottom() - place.top}));
  add_end(flow, input);
  if (all_cautions) add_cautions(flow, input);
  add_missing(flow, input.figures);
  add_pack(flow, input.recording.pack);
  add_method(flow, input);
  flow.turn();
  add_bench(flow, input);
  add_wiring(flow, input);
  add_notes(flow, input.record);
  add_events(flow, input.record);
  add_attachments(flow, input, files);
  add_letters(flow, document);  // last: of all that has been drawn
  flow.finish();
}

}  // namespace sagbench::reports
