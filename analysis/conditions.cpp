#include "analysis/conditions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string_view>

#include "analysis/phrasing.hpp"
#include "analysis/rate_point.hpp"

namespace sagbench::analysis {
namespace {

using Value = std::optional<double> Conditions::*;

/// A condition that is a number.
struct Kind {
  Value value;
  double share;  // alike up to this share of `of_larger` ? the larger : the smaller one ...
  double width;  // ... and this
  bool of_larger;
  int decimals;  // in words
  const char* before;
  const char* unit;
  const char* unknown;
};

constexpr std::array kKinds = {
    Kind{&Conditions::rate_it, 0.1, 0.005, false, 2, "", " It", "rate"},
    Kind{&Conditions::temperature_c, 0.0, kLikeTemperature_k, false, 0, "",
         " \xC2\xB0"
         "C",
         "temperature"},
    Kind{&Conditions::end_cell_v, 0.0, 0.02, false, 2, "to ", " V a cell", "end voltage"},
    Kind{&Conditions::charge, 0.0, 0.1, false, 2, "at a charge of ", "", "state of charge"},
    Kind{&Conditions::peak_a, 0.2, 0.0, true, 1, "a radio of ", " A", "radio"},
    Kind{&Conditions::supply_min_v, 0.0, 0.1, false, 1, "down to ", " V", "radio's least supply"}};

bool comparable(const Kind& kind, const Conditions& one, const Conditions& other) noexcept {
  return kind.value != &Conditions::end_cell_v || one.chemistry == other.chemistry;
}

bool alike_in(const Kind& kind, const Conditions& one, const Conditions& other) noexcept {
  if (!comparable(kind, one, other)) return true;
  const auto &a = one.*kind.value, &b = other.*kind.value;
  if (!a || !b) return a.has_value() == b.has_value();
  constexpr double kDust = 1e-9;  // 25 and 20 are 5 apart whatever their last bits
  const auto [low, high] = std::minmax({std::abs(*a), std::abs(*b)});
  const double width = kind.width + kind.share * (kind.of_larger ? high : low);
  return std::abs(*a - *b) <= width + kDust;
}

std::string trimmed(double value, int decimals) {
  std::string text = rounded(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string words_on(const Kind& kind, const Conditions& one) {
  const auto& value = one.*kind.value;
  if (!value) return std::string(kind.unknown) + " not known";
  return kind.before + trimmed(*value, kind.decimals) + kind.unit;
}

void add(std::string& text, const std::string& part, std::string_view between) {
  if (!text.empty()) text += between;
  text += part;
}

std::string range_words(const Kind& kind, std::span<const double> values) {
  const auto [low, high] = std::ranges::minmax(values);
  const std::string from = trimmed(low, kind.decimals), to = trimmed(high, kind.decimals);
  return kind.before + (from == to ? from : from + " to " + to) + kind.unit;
}

/// Empty where it is not known. An end voltage is told by chemistry where there are several.
std::string range_words(const Kind& kind, std::span<const Conditions> group) {
  std::map<Chemistry, std::vector<double>> by_chemistry;
  const bool apart = kind.value == &Conditions::end_cell_v;
  for (const Conditions& one : group)
    if (one.*kind.value)
      by_chemistry[apart ? one.chemistry : Chemistry::lfp].push_back(*(one.*kind.value));
  std::string text;
  for (const auto& [chemistry, values] : by_chemistry) {
    add(text, range_words(kind, values), ", ");
    if (by_chemistry.size() > 1) text += " (" + std::string(limits_of(chemistry).name) + ")";
  }
  return text;
}

}  // namespace

bool alike(const Conditions& one, const Conditions& other) noexcept {
  return one.method == other.method && one.currency == other.currency &&
         std::ranges::all_of(kKinds, [&](const Kind& kind) { return alike_in(kind, one, other); });
}

std::string unlike_words(const Conditions& one, const Conditions& reference) {
  constexpr std::string_view kBetween = "; ";
  std::string text;
  for (const Kind& kind : kKinds)
    if (!alike_in(kind, one, reference))
      add(text, words_on(kind, one) + " instead of " + words_on(kind, reference), kBetween);
  if (one.method != reference.method)
    add(text, "by " + one.method + " instead of " + reference.method, kBetween);
  if (one.currency != reference.currency)
    add(text, "in " + one.currency + " instead of " + reference.currency, kBetween);
  return text;
}

std::string like_rule() {
  return "Alike are tests within 5 K (the width IEC 61960-3 allows the room), a tenth of the rate, "
         "0.02 V a cell of end voltage within a chemistry, 0.1 of the state of charge, a fifth of "
         "the radio's peak and 0.1 V of its least supply (all but the first: common practice, no "
         "source); what is known of one only is not alike.";
}

std::vector<std::vector<std::size_t>> alike_groups(std::span<const Conditions> all) {
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const auto takes = [&](const std::vector<std::size_t>& group) {
      return std::ranges::all_of(group, [&](std::size_t j) { return alike(all[i], all[j]); });
    };
    const auto group = std::ranges::find_if(groups, takes);
    if (group == groups.end())
      groups.push_back({i});
    else
      group->push_back(i);
  }
  std::ranges::stable_sort(groups, std::ranges::greater{},
                           [](const std::vector<std::size_t>& group) { return group.size(); });
  return groups;
}

std::string words_on(std::span<const Conditions> group) {
  std::string text;
  for (const Kind& kind : kKinds)
    if (auto range = range_words(kind, group); !range.empty()) add(text, range, ", ");
  if (!group.empty() && !group.front().method.empty()) add(text, group.front().method, ", ");
  if (!group.empty() && !group.front().currency.empty()) add(text, group.front().currency, ", ");
  return text;
}

}  // namespace sagbench::analysis
