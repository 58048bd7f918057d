#include "reports/comparison_table.hpp"

#include <fmt/format.h>

#include <functional>
#include <utility>

#include "reports/number_text.hpp"
#include "reports/numbered_reasons.hpp"

namespace sagbench::reports {
namespace {

using analysis::Measured;
using analysis::RadioClass;

constexpr const char* kDash = "\xE2\x80\x93";

struct Column {
  TableColumn head;
  std::function<std::string(const ComparisonRow&)> text;
  std::optional<SortBy> instead{};  // left out where this is sorted by: it stands there already
};

template <class T, class Words>
std::string or_dash(const T& value, Words words) {
  return value ? words(*value) : std::string(kDash);
}

std::string plain_words(const Measured& measured) {
  return number_text(measured.value);
}

bool says_something(const DigestRating* rating) {
  return rating != nullptr &&
         (rating->usable_ah || rating->verdict != analysis::Verdict::not_measured);
}

std::string rating_words(const RunDigest& run, RadioClass radio_class, bool with_charge) {
  const DigestRating* rating = rating_of(run, radio_class);
  if (!says_something(rating)) return kDash;
  std::string text(name_of(rating->verdict));
  if (with_charge && rating->usable_ah)
    text += fmt::format(", {}{}", minimum_sign(rating->usable_is_minimum),
                        number_text(rating->usable_ah->value));
  return text;
}

std::string rank_words(const ComparisonRow& row) {
  return row.rank ? fmt::format("{}{}", *row.rank, row.tie ? "=" : "") : std::string(kDash);
}

std::string sorted_words(const ComparisonRow& row) {
  if (!row.figure.value) return kDash;
  return std::string(minimum_sign(row.figure.is_minimum)) + measured_text(*row.figure.value, "");
}

std::string head_of_sorted(const std::vector<ComparisonRow>& rows, SortBy by) {
  if (by != SortBy::capacity_per_price || rows.empty()) return std::string(words_on(by).head);
  return "Capacity per price (mAh/" + rows.front().figure.conditions.currency + ")";
}

std::string price_words(const ComparisonRow& row) {
  const auto figure = capacity_per_price_mah(*row.run);
  return figure ? fmt::format("{}/{}", number_text(figure->value), row.run->pack.price->currency)
                : std::string(kDash);
}

std::vector<Column> columns(const std::vector<ComparisonRow>& rows, SortBy by) {
  const bool charge_qrp = by != SortBy::usable_qrp, charge_qro = by != SortBy::usable_qro;
  std::vector<Column> all = {
      {{"No.", 0.45, Align::right}, [](const auto& row) { return std::to_string(row.number); }},
      {{"Rank", 0.5}, rank_words},
      {{"Pack", 1.9}, [](const auto& row) { return row.run->pack.name; }},
      {{"Type", 0.55},
       [](const auto& row) {
         return std::string(analysis::limits_of(row.run->pack.chemistry).name);
       }},
      {{"Tested", 1.0},
       [](const auto& row) { return row.run->dated ? row.run->utc.substr(0, 10) : kDash; }},
      {{"Age (years)", 0.6, Align::right},
       [](const auto& row) {
         return or_dash(age_years(*row.run), [](double years) { return fixed_text(years, 1); });
       },
       SortBy::age},
      {{head_of_sorted(rows, by), 1.6, Align::right}, sorted_words},
      {{"Rated (Ah)", 0.65, Align::right},
       [](const auto& row) { return number_text(row.run->pack.rated_capacity_ah); }},
      {{"Measured (Ah)", 1.3, Align::right},
       [](const auto& row) {
         return or_dash(row.run->capacity,
                        [](const auto& capacity) { return measured_text(capacity.charge_ah, ""); });
       },
       SortBy::capacity},
      {{"Wh/kg", 0.7, Align::right},
       [](const auto& row) { return or_dash(energy_per_kg_wh(*row.run), plain_words); },
       SortBy::energy_per_kg},
      {{"mAh per price", 1.0, Align::right}, price_words, SortBy::capacity_per_price},
      {{"m\xCE\xA9", 0.6, Align::right},
       [](const auto& row) {
         return or_dash(row.run->dc_resistance,
                        [](const auto& r) { return number_text(r.ohm.value * 1000.0); });
       },
       SortBy::resistance},
      {{charge_qrp ? "On QRP (Ah)" : "On QRP", 1.1},
       [=](const auto& row) { return rating_words(*row.run, RadioClass::qrp, charge_qrp); }},
      {{charge_qro ? "On QRO (Ah)" : "On QRO", 1.1},
       [=](const auto& row) { return rating_words(*row.run, RadioClass::qro, charge_qro); }}};
  std::erase_if(all, [by](const Column& column) { return column.instead == by; });
  return all;
}

/// What stands as a dash in a row, and why.
std::vector<std::pair<std::string, std::string>> gaps_of(const ComparisonRow& row) {
  std::vector<std::pair<std::string, std::string>> gaps;
  const RunDigest& run = *row.run;
  if (!run.capacity) gaps.emplace_back("capacity", run.capacity.why());
  const auto per_kg = energy_per_kg_wh(run), per_price = capacity_per_price_mah(run);
  if (run.capacity && !per_kg) gaps.emplace_back("energy per mass", per_kg.why());
  if (run.capacity && !per_price) gaps.emplace_back("capacity per price", per_price.why());
  if (!run.dc_resistance) gaps.emplace_back("d.c. resistance", run.dc_resistance.why());
  if (const auto age = age_years(run); !age) gaps.emplace_back("age", age.why());
  for (const RadioClass radio_class : {RadioClass::qrp, RadioClass::qro}) {
    const DigestRating* rating = rating_of(run, radio_class);
    if (rating != nullptr && !says_something(rating))
      gaps.emplace_back(std::string(analysis::name_of(radio_class)) + " rating",
                        as_clause(rating->because));
  }
  return gaps;
}

}  // namespace

Table comparison_table(const std::vector<ComparisonRow>& rows, SortBy by) {
  Table table{{}, {}, {6.4, Weight::regular, kInk}, 3};
  const auto shown = columns(rows, by);
  for (const Column& column : shown) table.columns.push_back(column.head);
  for (const ComparisonRow& row : rows) {
    TableRow cells;
    for (const Column& column : shown) cells.push_back(column.text(row));
    table.rows.push_back(std::move(cells));
  }
  return table;
}

std::string missing_words(const std::vector<const ComparisonRow*>& rows) {
  // In the order in which they are met, so that a page reads from top to bottom.
  std::vector<std::pair<std::pair<std::string, std::string>, std::vector<std::size_t>>> reasons;
  for (const ComparisonRow* row : rows) {
    for (const auto& gap : gaps_of(*row)) {
      auto reason = std::ranges::find(reasons, gap, [](const auto& entry) { return entry.first; });
      if (reason == reasons.end()) reason = reasons.insert(reasons.end(), {gap, {}});
      reason->second.push_back(row->number);
    }
  }
  std::string text;
  for (const auto& [gap, numbers] : reasons)
    text += fmt::format("{}No {} of No. {}: {}.", text.empty() ? "" : " ", gap.first,
                        numbers_text(numbers), gap.second);
  return text;
}

}  // namespace sagbench::reports
