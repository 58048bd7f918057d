#pragma once
// What a figure was measured under, as far as it changes the figure; and whose figures may be
// compared.

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/chemistry.hpp"

namespace sagbench::analysis {

/// What does not change the figure, or is not known, is absent or empty.
struct Conditions {
  std::optional<double> rate_it;
  std::optional<double> temperature_c;
  std::optional<double> end_cell_v;  // end of discharge, a cell; compared within a chemistry
  Chemistry chemistry = Chemistry::lfp;
  std::optional<double> charge;        // state of charge, 0..1
  std::optional<double> peak_a;        // of the radio
  std::optional<double> supply_min_v;  // of the radio
  std::string method;
  std::string currency;
};

/// Where two are no longer alike; a condition that only one of them has is never alike.
/// Temperature: kLikeTemperature_k. Rate: a tenth of the lower one and 0.005 It. Radio: a fifth of
/// the larger peak, 0.1 V of its least supply. State of charge: 0.1. End voltage: 0.02 V a cell.
/// All but the first common practice, no source.
bool alike(const Conditions& one, const Conditions& other) noexcept;

/// What tells two apart, in words: "1 It instead of 0.2 It". Empty where they are alike.
std::string unlike_words(const Conditions& one, const Conditions& reference);

/// The limits of alike(), for people.
std::string like_rule();

/// Indexes of those that are all alike with each other. Each joins the first group whose every
/// member it is alike with, in the order given; groups come largest first, of equal ones the first.
std::vector<std::vector<std::size_t>> alike_groups(std::span<const Conditions> all);

/// Of all of a group, in words: "0.2 It, 20 to 23 °C, to 2.5 V a cell".
std::string words_on(std::span<const Conditions> group);

}  // namespace sagbench::analysis
