#include "reports/report_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "reports/iso_date.hpp"
#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

constexpr double kFootHeight = 2 * kLeading;
constexpr double kHeadingBaseline = 2.2 * kGrid;

}  // namespace

Rect content_area(const Canvas& canvas) {
  const Rect& page = canvas.inner();
  return {page.x, page.y, page.width, page.height - kFootHeight};
}

double draw_heading(Canvas& canvas, Point top_left, double width, const std::string& text,
                    MarkLevel level) {
  canvas.mark(text, top_left.y, level);
  canvas.line(top_left, {top_left.x + width, top_left.y}, {kBlue, 0.8});
  canvas.text({top_left.x, top_left.y + kHeadingBaseline}, fit(canvas, text, kHeading, width),
              kHeading);
  return top_left.y + kHeadingHeight;
}

void refer_from_heading(Canvas& canvas, Point top_left, double width, const std::string& title) {
  canvas.refer({top_left.x + width, top_left.y + kHeadingBaseline}, title);
}

void draw_feet(PdfDocument& document, const std::string& left) {
  std::size_t number = 0;
  for (Canvas& canvas : document.pages()) {
    const Rect area = content_area(canvas);
    const std::string right = fmt::format("page {} of {}", ++number, document.pages().size());
    const double y = area.bottom() + kFootHeight - 2.0;
    const double room = area.width - canvas.text_width(right, kSmall) - kLeading;
    canvas.text({area.x, y}, fit(canvas, left, kSmall, room), kSmall);
    canvas.text({area.right(), y}, right, kSmall, Align::right);
  }
}

std::string pack_words(const analysis::Pack& pack) {
  return fmt::format("{}S{}P {}, {} rated, {} nominal", pack.series, pack.parallel,
                     analysis::limits_of(pack.chemistry).name,
                     quantity_text(pack.rated_capacity_ah, "Ah"),
                     quantity_text(analysis::nominal_voltage_v(pack), "V"));
}

std::string date_words(const std::string& utc) {
  const auto at = iso_time(utc);
  if (!at) return "date not recorded";
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02} UTC", at->date.year, at->date.month,
                     at->date.day, at->hour, at->minute);
}

std::string age_words(const analysis::Pack& pack, const std::string& utc) {
  if (const auto age = age_text(pack.built, utc)) return fmt::format("pack {} old", *age);
  return "pack of unknown age";
}

std::string temperature_words(const std::optional<double>& temperature_c) {
  if (!temperature_c) return "temperature not measured";
  return quantity_text(*temperature_c,
                       "\xC2\xB0"
                       "C",
                       3);
}

bool is_imported(const analysis::Recording& recording) {
  return std::any_of(recording.steps.begin(), recording.steps.end(),
                     [](const auto& step) { return step.kind == analysis::StepKind::imported; });
}

bool is_simulated(const ReportInput& input) {
  const auto& instruments = input.record.header.instruments;
  return std::any_of(instruments.begin(), instruments.end(), [](const Instrument& instrument) {
    return instrument.port.starts_with("virtual");
  });
}

}  // namespace sagbench::reports
