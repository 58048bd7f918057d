#include "reports/ageing_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <utility>

#include "reports/comparison_sort.hpp"
#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr const char* kDash = "\xE2\x80\x93";
constexpr std::size_t kMostOperations = 4;  // a table: narrower columns wrap their figures
constexpr Font kFigures{6.4, Weight::regular, kInk};

template <class Value, class Words>
std::string or_dash(const Value& value, Words words) {
  return value ? words(*value) : std::string(kDash);
}

std::string conditions_words(const RunDigest& run) {
  return or_dash(run.capacity, [](const analysis::Capacity& capacity) {
    std::string text = fmt::format("{}, to {}", quantity_text(capacity.rate_it, "It", 2),
                                   quantity_text(capacity.to_voltage_v, "V", 4));
    if (capacity.temperature_c) text += ", " + temperature_words(capacity.temperature_c);
    return text;
  });
}

std::string figure_words(const RunDigest& run, SortBy by) {
  const SortFigure figure = sort_figure(run, by);
  return or_dash(figure.value, [&](const analysis::Measured& measured) {
    return std::string(minimum_sign(figure.is_minimum)) + measured_text(measured, "");
  });
}

std::string share_words(const AgeingHistory& history, const RunDigest& run) {
  return or_dash(run.capacity, [&](const analysis::Capacity& capacity) {
    return percent_text(capacity.charge_ah.value / history.pack.rated_capacity_ah);
  });
}

bool is_taken(const AgeingSeries& series, std::size_t test) {
  return std::ranges::find(series.tests, test) != series.tests.end();
}

std::string date_words(const RunDigest& run) {
  return run.dated ? run.utc.substr(0, 10) : kDash;
}

std::string hours_words(const analysis::Endurance& answer) {
  if (answer.unlimited) return "no end";
  if (!answer.hours) return kDash;
  const std::string sign(answer.hours_are_maximum ? "\xE2\x89\xA4\xC2\xA0"
                                                  : minimum_sign(answer.hours_are_minimum));
  return fmt::format("{}{}, {}", sign, measured_text(*answer.hours, ""), answer.limited_by);
}

Table hours_table(const AgeingHistory& history, std::span<const OperationSeries> operations) {
  constexpr double kColumn = 2.4;
  Table table{{{"No.", 0.4, Align::right}, {"Tested", 1.0}}, {}, kFigures, 3};
  for (const OperationSeries& series : operations)
    table.columns.push_back({series.operation.name + " (h)", kColumn});
  // Columns as wide as those of a full table, whatever their number.
  for (std::size_t i = operations.size(); i < kMostOperations; ++i)
    table.columns.push_back({"", kColumn});
  for (std::size_t i = 0; i < history.tests.size(); ++i) {
    TableRow row = {std::to_string(i + 1), date_words(history.tests[i].run)};
    for (const OperationSeries& series : operations) row.push_back(hours_words(series.answers[i]));
    row.resize(table.columns.size());
    table.rows.push_back(std::move(row));
  }
  return table;
}

}  // namespace

Table tests_table(const AgeingHistory& history) {
  Table table{{{"No.", 0.4, Align::right},
               {"Tested", 1.0},
               {"Discharged at", 2.3},
               {"Capacity (Ah)", 1.25, Align::right},
               {"of rated", 0.6, Align::right},
               {"in trend", 0.6},
               {"m\xCE\xA9", 0.8, Align::right},
               {"On QRP (Ah)", 1.1, Align::right},
               {"On QRO (Ah)", 1.1, Align::right},
               {"Run", 1.75}},
              {},
              kFigures,
              3};
  for (std::size_t i = 0; i < history.tests.size(); ++i) {
    const RunDigest& run = history.tests[i].run;
    table.rows.push_back(
        {std::to_string(i + 1), date_words(run), conditions_words(run),
         figure_words(run, SortBy::capacity), share_words(history, run),
         is_taken(history.capacity(), i) ? "yes" : "no", figure_words(run, SortBy::resistance),
         figure_words(run, SortBy::usable_qrp), figure_words(run, SortBy::usable_qro), run.run_id});
  }
  return table;
}

std::vector<Table> hours_tables(const AgeingHistory& history) {
  std::vector<Table> tables;
  const std::span all(history.operations);
  for (std::size_t i = 0; i < all.size(); i += kMostOperations)
    tables.push_back(
        hours_table(history, all.subspan(i, std::min(kMostOperations, all.size() - i))));
  return tables;
}

}  // namespace sagbench::reports
