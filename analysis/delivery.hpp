#pragma once
// A pattern of currents as it was asked for, against what was measured.

#include <cstddef>
#include <optional>
#include <span>

#include "analysis/current_figures.hpp"
#include "analysis/finding.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// How far edges came from their time. An edge is a change of the asked current by at least a
/// twentieth of the whole range. It has come when the measured current is nearer to the new current
/// than to the old: where the record says when the setpoint took effect, then; else with the sample
/// that shows it first, so that the sampling counts as delay. One that no sample shows before the
/// next edge is due counts as unseen and not in the percentiles.
struct EdgeTiming {
  std::size_t asked = 0;
  std::size_t unseen = 0;
  // Of the edges seen, distance from the time asked, in s; absent when none was seen. Nearest rank.
  std::optional<double> half_within_s, most_within_s, nearly_all_within_s;  // 50, 90, 99 %
  std::optional<double> worst_s;
};

struct Delivery {
  CurrentFigures asked, delivered;
  // Share of the time above the middle between the least and the highest current asked for.
  double asked_key_down = 0.0, delivered_key_down = 0.0;
  EdgeTiming edges;
};

/// Compares over the time that both cover: from the first asked current or sample to `end_s` or the
/// last sample. Charge and squares are those of flow() (charge_integral.hpp); the delivered peak is
/// the highest reading. Missing where they have no time in common. Times of `asked` and of
/// `samples` do not run backwards.
Finding<Delivery> delivery(std::span<const AskedCurrent> asked, double end_s,
                           std::span<const Sample> samples, std::span<const Gap> gaps = {});

}  // namespace sagbench::analysis
