#include "reports/hours_table.hpp"

#include <fmt/format.h>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr std::string_view kDash = "\xE2\x80\x93";

// Whether the pack is enough, and what would make it so.
std::string enough_words(const analysis::Endurance& endurance) {
  std::string words{kDash};
  if (endurance.unlimited || endurance.enough.value_or(false)) {
    words = "yes";
  } else if (endurance.enough || endurance.hours_are_minimum) {
    words = endurance.enough ? "no" : "not sure";
    if (endurance.recharge_needed_w) {
      words += "; with " + quantity_text(*endurance.recharge_needed_w, "W") + " recharge";
    }
  }
  if (!endurance.carry_ok.value_or(true)) words += "; too heavy to carry";
  return words;
}

TableRow hours_row(const OperationHours& asked) {
  const auto& operation = asked.operation;
  const auto& answer = asked.endurance;
  const std::string hours = answer.unlimited ? "no end"
                            : answer.hours   ? (answer.hours_are_minimum ? "at least " : "") +
                                                 measured_text(*answer.hours, "h")
                                           : std::string(kDash) + " " + answer.hours.why();
  return {operation.name,
          fmt::format("{}, {}, {} transmit", operation.radio.name, name_of(operation.mode),
                      percent_text(operation.transmit_share)),
          quantity_text(operation.hours, "h"),
          hours,
          enough_words(answer),
          answer.limited_by};
}

}  // namespace

double draw_hours(Canvas& canvas, Point top_left, double width,
                  const std::vector<OperationHours>& operations) {
  if (operations.empty()) return top_left.y;
  constexpr std::size_t kMostRows = 5;
  double top = draw_heading(canvas, top_left, width, "Hours on the air");
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
  const auto more = operations.size() - table.rows.size();
  if (more == 0) return top + kGrid;
  const auto line = fmt::format("and {} more: sagbench endurance prints each.", more);
  return draw_lines(canvas, {top_left.x, top}, {line}, kSmall) + kGrid;
}

}  // namespace sagbench::reports
