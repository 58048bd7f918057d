#include "reports/run_digest.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/peak_current.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/throughput.hpp"
#include "analysis/usable_charge.hpp"
#include "reports/report_page.hpp"
#include "reports/report_series.hpp"
#include "reports/thinning.hpp"

namespace sagbench::reports {
namespace {

using analysis::Recording;

constexpr int kCurveColumns = 100;

analysis::Finding<analysis::Capacity> without_budgets(
    analysis::Finding<analysis::Capacity> capacity) {
  if (!capacity) return capacity;
  analysis::Capacity plain_one = *capacity;
  plain_one.charge_budget = {};
  plain_one.energy_budget = {};
  return plain_one;
}

analysis::Finding<analysis::Resistance> without_budget(
    analysis::Finding<analysis::Resistance> resistance) {
  if (!resistance) return resistance;
  analysis::Resistance plain_one = *resistance;
  plain_one.budget = {};
  return plain_one;
}

DigestRating rating_of(const analysis::Rating& rating, const Recording& recording,
                       const analysis::Figures& figures) {
  DigestRating kept;
  kept.radio_class = rating.radio_class;
  kept.verdict = rating.verdict;
  kept.because = rating.because;
  kept.margin_v = rating.margin_v;
  kept.usable_ah = analysis::usable_by_test(recording, figures, rating);
  kept.usable_is_minimum = rating.usable_is_minimum;
  kept.temperature_c = rating.temperature_c;
  if (const auto radio = analysis::radio_of(recording, rating.radio_class)) {
    kept.peak_a = radio->transmit_peak_a;
    kept.supply_min_v = radio->supply_min_v;
  }
  return kept;
}

/// Finer than a picture over half a page shows; five digits, so that it reads back as it was.
std::vector<Point> thinned(const std::vector<Point>& curve) {
  if (curve.empty()) return {};
  const double longest = std::ranges::max(curve, {}, &Point::x).x;
  std::vector<Point> points = thin(curve, 0.0, std::max(longest, 1e-9), kCurveColumns);
  for (Point& point : points) {
    point.x = plain(point.x);
    if (std::isfinite(point.y)) point.y = plain(point.y);
  }
  return points;
}

}  // namespace

RunDigest digest_of(const ReportInput& input) {
  const Recording& recording = input.recording;
  const analysis::Figures& figures = input.figures;
  RunDigest digest;
  digest.run_id = input.record.id;
  digest.utc = input.record.header.utc;
  digest.dated = std::ranges::none_of(input.record.header.notes, [](const std::string& note) {
    return note.starts_with(kStampOfImport);
  });
  digest.simulated = is_simulated(input);
  digest.complete = figures.complete;
  digest.pack = recording.pack;
  digest.capacity = without_budgets(figures.capacity);
  digest.dc_resistance = without_budget(figures.dc_resistance);
  for (const analysis::Rating& rating : figures.ratings)
    digest.ratings.push_back(rating_of(rating, recording, figures));
  digest.temperature_c = analysis::mean_temperature_c(recording.samples);
  digest.discharged_ah = analysis::discharged_ah(recording);
  digest.curve = thinned(discharge_curve(recording, figures));
  digest.cautions = figures.cautions;
  return digest;
}

std::vector<RunDigest> digests_of(const std::vector<ReportInput>& inputs) {
  std::vector<RunDigest> digests;
  for (const ReportInput& input : inputs) digests.push_back(digest_of(input));
  return digests;
}

const DigestRating* rating_of(const RunDigest& digest, analysis::RadioClass radio_class) {
  const auto found = std::ranges::find(digest.ratings, radio_class, &DigestRating::radio_class);
  return found == digest.ratings.end() ? nullptr : &*found;
}

}  // namespace sagbench::reports
