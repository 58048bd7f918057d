#include "reports/hours_table.hpp"

#include <fmt/format.h>

#include <cmath>
#include <span>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr std::string_view kDash = "\xE2\x80\x93";

/// Rounded up: what would be too little must not look like enough.
std::string at_least_percent(double share) {
  return percent_text(std::ceil(100.0 * share) / 100.0);
}

// Whether the pack is enough, and what would make it so.
std::string enough_words(const analysis::Endurance& endurance) {
  std::string words{kDash};
  if (endurance.unlimited || endurance.enough.value_or(false)) {
    words = "yes";
  } else if (endurance.enough_if_cold_leaves) {
    words = "if the cold leaves " + at_least_percent(*endurance.enough_if_cold_leaves);
  } else if (endurance.enough || endurance.hours_are_minimum || endurance.hours_are_maximum) {
    words = endurance.enough ? "no" : "not sure";
    if (endurance.recharge.mean_w) {
      words += "; with " + quantity_text(*endurance.recharge.mean_w, "W") + " recharge";
    }
  }
  if (!endurance.carry_ok.value_or(true)) words += "; too heavy to carry";
  return words;
}

/// Which way a figure is bounded that is only a bound.
std::string bound(bool minimum, bool maximum) {
  return minimum ? "at least " : maximum ? "at most " : "";
}

std::string hours_words(const analysis::Endurance& answer) {
  if (answer.unlimited) return "no end";
  if (!answer.hours) return std::string(kDash) + " " + as_printed(answer.hours.why());
  return bound(answer.hours_are_minimum, answer.hours_are_maximum) +
         measured_text(*answer.hours, "h");
}

TableRow hours_row(const OperationHours& asked) {
  const auto& operation = asked.operation;
  const auto& answer = asked.endurance;
  return {operation.name,
          fmt::format("{}, {}, {} transmit", operation.radio.name, name_of(operation.mode),
                      percent_text(operation.transmit_share)),
          quantity_text(operation.hours, "h"),
          hours_words(answer),
          enough_words(answer),
          answer.limited_by};
}

std::string sun_words(const OperationHours& asked) {
  const auto& recharge = asked.endurance.recharge;
  if (!recharge.sun_w || *recharge.sun_w <= 0.0) return "";
  return fmt::format(", recharge {} in {} of sun", quantity_text(*recharge.sun_w, "W"),
                     quantity_text(*asked.operation.sun_hours, "h"));
}

/// What to bring, and what the cable takes.
std::string note_on(const OperationHours& asked) {
  const auto& answer = asked.endurance;
  const auto share = [](double of_one) { return fixed_text(100.0 * of_one, 1) + "\xC2\xA0%"; };
  std::string text = asked.operation.name + ": ";
  if (answer.energy_to_bring_wh)
    text += "bring " + bound(answer.hours_are_maximum, answer.hours_are_minimum) +
            measured_text(*answer.energy_to_bring_wh, "Wh") + sun_words(asked) + "; ";
  if (asked.operation.radio.cable_ohm <= 0.0) return text + "the radio's file states no cable.";
  return text + fmt::format("lost in the cable {} ({}), at the peak {} ({}).",
                            quantity_text(answer.cable.mean_w, "W"), share(answer.cable.mean_share),
                            quantity_text(answer.cable.peak_w, "W"),
                            share(answer.cable.peak_share));
}

/// Empty when nothing was.
std::string left_out(std::size_t rows, std::size_t notes) {
  if (rows > 0) return fmt::format("and {} more: sagbench endurance prints each.", rows);
  if (notes > 0) return fmt::format("What to bring for {} more: sagbench endurance.", notes);
  return "";
}

struct DrawnNotes {
  double bottom = 0.0;
  std::size_t count = 0;
};

/// As many as end above `lowest`.
DrawnNotes draw_notes(Canvas& canvas, Point top_left, double width,
                      std::span<const OperationHours> operations, double lowest) {
  constexpr std::size_t kMostLines = 2;
  DrawnNotes drawn{top_left.y, 0};
  for (const OperationHours& asked : operations) {
    const auto lines = wrap_at_most(canvas, note_on(asked), kSmall, width, kMostLines);
    if (drawn.bottom + static_cast<double>(lines.size()) * kLeading > lowest) break;
    drawn.bottom = draw_lines(canvas, {top_left.x, drawn.bottom}, lines, kSmall);
    ++drawn.count;
  }
  return drawn;
}

}  // namespace

double draw_hours(Canvas& canvas, Point top_left, double width,
                  const std::vector<OperationHours>& operations, double lowest) {
  if (operations.empty()) return top_left.y;
  constexpr std::size_t kMostRows = 5;
  double top = draw_heading(canvas, top_left, width, "Hours on the air", MarkLevel::section);
  refer_from_heading(canvas, top_left, width, kAllFigures);
  Table table{{{"Operation", 1.3},
               {"Radio", 1.8},
               {"Wanted", 0.6},
               {"Pack lasts", 1.1},
               {"Enough", 1.1},
               {"Limited by", 1.0}},
              {},
              kBody,
              3};
  for (const auto& operation : operations) {
    if (table.rows.size() < kMostRows) table.rows.push_back(hours_row(operation));
  }
  const double limit = top + table_height(canvas, width, table);
  top = draw_table(canvas, {top_left.x, top}, width, limit, table).bottom;
  const std::span shown(operations.begin(), table.rows.size());
  const DrawnNotes notes = draw_notes(canvas, {top_left.x, top}, width, shown, lowest);
  top = notes.bottom;
  const auto line = left_out(operations.size() - shown.size(), shown.size() - notes.count);
  if (line.empty()) return top + kGrid;
  return draw_lines(canvas, {top_left.x, top}, {line}, kSmall) + kGrid;
}

}  // namespace sagbench::reports
