#include "reports/comparison_sort.hpp"

#include <algorithm>
#include <array>

#include "reports/iso_date.hpp"

namespace sagbench::reports {
namespace {

using analysis::Conditions;
using analysis::Finding;
using analysis::Measured;

constexpr std::array kWords = {
    SortWords{"usable-qrp", "charge usable on a QRP radio", "Usable on QRP (Ah)", "Ah"},
    SortWords{"usable-qro", "charge usable on a QRO radio", "Usable on QRO (Ah)", "Ah"},
    SortWords{"energy-per-kg", "energy per kilogram", "Energy per mass (Wh/kg)", "Wh/kg"},
    SortWords{"capacity-per-price", "capacity per price", "Capacity per price (mAh)", "mAh"},
    SortWords{"capacity", "capacity", "Measured (Ah)", "Ah"},
    SortWords{"resistance", "d.c. resistance", "Resistance (m\xCE\xA9)", "m\xCE\xA9", true},
    SortWords{"age", "age at the test", "Age (years)", "years", true}};

constexpr auto kNames = [] {
  std::array<std::string_view, kWords.size()> names;
  std::ranges::transform(kWords, names.begin(), &SortWords::name);
  return names;
}();

Measured divided(const Measured& measured, double by) {
  return {measured.value / by, measured.expanded_uncertainty / by, measured.coverage_factor};
}

Conditions of_discharge(const RunDigest& run) {
  Conditions conditions;
  conditions.chemistry = run.pack.chemistry;
  if (!run.capacity) return conditions;
  conditions.rate_it = run.capacity->rate_it;
  conditions.temperature_c = run.capacity->temperature_c;
  // The voltage asked for, not the one reached: a weak cell that ends it early is a result, not a
  // condition.
  conditions.end_cell_v =
      analysis::end_of_discharge_voltage_v(run.pack) / std::max(1, run.pack.series);
  return conditions;
}

SortFigure of_capacity(const RunDigest& run) {
  SortFigure figure{Finding<Measured>::missing(run.capacity.why()), false, {}, of_discharge(run)};
  if (run.capacity) figure.value = run.capacity->charge_ah;
  return figure;
}

SortFigure of_rating(const RunDigest& run, analysis::RadioClass radio_class) {
  const DigestRating* rating = rating_of(run, radio_class);
  if (rating == nullptr)
    return {Finding<Measured>::missing("no such radio was rated"), false, {}, {}};
  SortFigure figure{rating->usable_ah, rating->usable_is_minimum, {}, {}};
  if (rating->usable_is_minimum && run.capacity) figure.reach = run.capacity->charge_ah.value;
  figure.conditions.chemistry = run.pack.chemistry;
  figure.conditions.temperature_c = rating->temperature_c;
  figure.conditions.end_cell_v =
      analysis::end_of_discharge_voltage_v(run.pack) / std::max(1, run.pack.series);
  figure.conditions.peak_a = rating->peak_a;
  figure.conditions.supply_min_v = rating->supply_min_v;
  return figure;
}

SortFigure of_resistance(const RunDigest& run) {
  SortFigure figure{Finding<Measured>::missing(run.dc_resistance.why()), false, {}, {}};
  if (!run.dc_resistance) return figure;
  constexpr double kMilli = 1e-3;
  figure.value = divided(run.dc_resistance->ohm, kMilli);
  figure.conditions.temperature_c = run.temperature_c;
  figure.conditions.charge = run.dc_resistance->charge;
  figure.conditions.method = run.dc_resistance->method;
  return figure;
}

SortFigure of_price(const RunDigest& run) {
  SortFigure figure{capacity_per_price_mah(run), false, {}, of_discharge(run)};
  if (run.pack.price) figure.conditions.currency = run.pack.price->currency;
  return figure;
}

SortFigure of_age(const RunDigest& run) {
  const auto years = age_years(run);
  if (!years) return {Finding<Measured>::missing(years.why()), false, {}, {}};
  return {Measured{*years, 0.0, 2.0}, false, {}, {}};
}

}  // namespace

const SortWords& words_on(SortBy by) noexcept {
  return kWords.at(static_cast<std::size_t>(by));
}

std::span<const std::string_view> sort_names() noexcept {
  return kNames;
}

std::optional<SortBy> sort_by_from(std::string_view name) noexcept {
  const auto found = std::ranges::find(kNames, name);
  if (found == kNames.end()) return std::nullopt;
  return static_cast<SortBy>(found - kNames.begin());
}

SortFigure sort_figure(const RunDigest& run, SortBy by) {
  switch (by) {
    case SortBy::usable_qrp:
      return of_rating(run, analysis::RadioClass::qrp);
    case SortBy::usable_qro:
      return of_rating(run, analysis::RadioClass::qro);
    case SortBy::energy_per_kg:
      return {energy_per_kg_wh(run), false, {}, of_discharge(run)};
    case SortBy::capacity_per_price:
      return of_price(run);
    case SortBy::capacity:
      return of_capacity(run);
    case SortBy::resistance:
      return of_resistance(run);
    case SortBy::age:
      return of_age(run);
  }
  return {};
}

Finding<Measured> capacity_per_price_mah(const RunDigest& run) {
  if (!run.capacity) return Finding<Measured>::missing(run.capacity.why());
  if (!run.pack.price || !(run.pack.price->amount > 0.0))
    return Finding<Measured>::missing("the pack file states no price");
  constexpr double kMilli = 1e-3;
  return divided(run.capacity->charge_ah, run.pack.price->amount * kMilli);
}

Finding<Measured> energy_per_kg_wh(const RunDigest& run) {
  if (!run.capacity) return Finding<Measured>::missing(run.capacity.why());
  if (!run.pack.mass_kg || !(*run.pack.mass_kg > 0.0))
    return Finding<Measured>::missing("the pack file states no mass");
  return divided(run.capacity->energy_wh, *run.pack.mass_kg);
}

Finding<double> age_years(const RunDigest& run) {
  constexpr double kDaysInYear = 365.25;
  if (!run.dated) return Finding<double>::missing("its date is that of its import");
  const auto built = iso_date(run.pack.built), tested = iso_date(run.utc);
  if (!built) return Finding<double>::missing("the pack file does not say when it was built");
  if (!tested) return Finding<double>::missing("the date of the test is not recorded");
  const auto days = static_cast<double>(days_between(*built, *tested));
  if (days < 0.0) return Finding<double>::missing("the test is dated before the pack was built");
  return days / kDaysInYear;
}

}  // namespace sagbench::reports
