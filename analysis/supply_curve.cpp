#include "analysis/supply_curve.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <utility>
#include <vector>

#include "analysis/peak_current.hpp"
#include "analysis/radio_stage.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kBin = 0.02;
constexpr double kNearPeak = 0.95;

SupplyPoint interpolate(const SupplyPoint& upper, const SupplyPoint& lower, double charge) {
  const double scatter_v = std::max(upper.scatter_v, lower.scatter_v);
  const double span = upper.charge - lower.charge;
  const double share = span > 0.0 ? (upper.charge - charge) / span : 1.0;
  const double difference_v = lower.supply_v - upper.supply_v;
  SupplyPoint point = lower;
  point.charge = charge;
  point.scatter_v = scatter_v;
  point.current_a = std::lerp(upper.current_a, lower.current_a, share);
  point.supply_v =
      span > 0.0 ? upper.supply_v + share * difference_v : std::min(upper.supply_v, lower.supply_v);
  point.between_v = std::abs(difference_v) / 2.0 * 4.0 * share * (1.0 - share);
  return point;
}

/// Noise of the points of a dense curve, in which charge falls as time runs; of the readings
/// themselves where there are too few points to tell.
double noise_of(std::span<const SupplyPoint> points, std::vector<Reading> readings) {
  constexpr std::size_t kTelling = 3;
  if (points.size() < kTelling) return scatter(readings);
  readings.clear();
  for (const SupplyPoint& point : points) readings.push_back({-point.charge, point.supply_v});
  return scatter(readings);
}

/// The readings under the radio's peaks, in the stretches in which the key stayed down.
class KeyDown {
 public:
  void add(std::size_t sample, const Reading& reading) {
    if (stretches_.empty() || sample != last_ + 1) stretches_.emplace_back();
    stretches_.back().push_back(reading);
    last_ = sample;
  }
  /// Of one reading: from the later half of each stretch, where the bend after the edge is over.
  /// How the voltage differs from one stretch to the next is the pack's doing, not noise. Absent
  /// where no stretch is long enough to tell.
  std::optional<double> noise_v() const {
    constexpr std::size_t kTelling = 6;
    double squares = 0.0, count = 0.0;
    for (const std::vector<Reading>& stretch : stretches_) {
      if (stretch.size() < kTelling) continue;
      const auto later = std::span(stretch).subspan(stretch.size() / 2);
      const double noise_v = scatter(later);
      squares += noise_v * noise_v * static_cast<double>(later.size());
      count += static_cast<double>(later.size());
    }
    return count > 0.0 ? std::optional(std::sqrt(squares / count)) : std::nullopt;
  }
  std::vector<Reading> all() const {
    std::vector<Reading> readings;
    for (const auto& stretch : stretches_)
      readings.insert(readings.end(), stretch.begin(), stretch.end());
    return readings;
  }

 private:
  std::vector<std::vector<Reading>> stretches_;
  std::size_t last_ = 0;
};

/// The lowest of so many readings lies about that many standard deviations below their mean
/// (extreme values of a normal distribution, from a textbook).
double depth_of_lowest(int readings) {
  return std::sqrt(std::max(1.0, 2.0 * std::log(static_cast<double>(readings))));
}

/// Largest current the radio draws at this supply: a constant-power stage takes more when it falls,
/// a linear one that clips takes less.
double peak_current_at(const Radio& radio, double supply_v) noexcept {
  return stage_current_a(radio, {true, 1.0}, supply_v);
}

bool at_peak(const Sample& sample, const Radio& radio, double supply_v) {
  return sample.phase == Phase::transmit && !board_open(sample) &&
         sample.commanded_a >= kNearPeak * peak_current_at(radio, supply_v);
}

/// Supply and current at which radio and sag agree. For constant power P over a resistance R from a
/// rest voltage E the supply is the upper root of V (E - V) / R = P; below supply_min the radio's
/// current rises no further. A linear stage is taken at its full peak, though it may clip: the
/// harder on the pack.
double agreed_current(const SagLine& line, const Radio& radio) noexcept {
  const double most = peak_current_at(radio, radio.supply_min_v);
  if (radio.stage == Stage::linear) return radio.transmit_peak_a;
  const double ohm = std::max(0.0, line.ohm) + radio.cable_ohm;
  const double power_w = radio.transmit_peak_a * radio.supply_nominal_v;
  const double root = line.rest_v * line.rest_v - 4.0 * ohm * power_w;
  if (root < 0.0) return most;
  return std::min(most, power_w / ((line.rest_v + std::sqrt(root)) / 2.0));
}

/// First point below `charge`; end when there is none.
auto below(const SupplyCurve& curve, double charge) {
  return std::ranges::find_if(curve.points,
                              [charge](const SupplyPoint& point) { return point.charge < charge; });
}

}  // namespace

SupplyCurve transmit_curve(const Recording& recording, const ChargeState& charge,
                           const Radio& radio) {
  struct Bin {
    SupplyPoint lowest;
    int readings = 0;
  };
  std::map<int, Bin> bins;
  KeyDown key_down;
  double temperature = 0.0;
  int temperatures = 0;
  for (std::size_t i = 0; i < recording.samples.size(); ++i) {
    const Sample& sample = recording.samples[i];
    const Step& step = recording.steps[static_cast<std::size_t>(sample.step)];
    if (step.kind != StepKind::transmit || !step.radio || step.radio->name != radio.name) continue;
    const double supply_v = supply_at_radio_v(radio, sample.voltage_v, sample.current_a);
    if (!at_peak(sample, radio, supply_v)) continue;
    key_down.add(i, {sample.time_s, supply_v});
    const SupplyPoint point{.charge = charge.charge(i),
                            .supply_v = supply_v,
                            .current_a = sample.current_a,
                            .step = sample.step};
    Bin& bin = bins[static_cast<int>(std::floor(-point.charge / kBin))];
    if (bin.readings++ == 0 || point.supply_v < bin.lowest.supply_v) bin.lowest = point;
    if (!sample.temperature_c) continue;
    temperature += *sample.temperature_c;
    ++temperatures;
  }
  SupplyCurve curve;
  for (const auto& [place, bin] : bins) curve.points.push_back(bin.lowest);
  const auto noise_v = key_down.noise_v();
  const double of_points_v = noise_v ? 0.0 : noise_of(curve.points, key_down.all());
  auto point = curve.points.begin();
  for (const auto& [place, bin] : bins)
    (point++)->scatter_v = noise_v ? *noise_v * depth_of_lowest(bin.readings) : of_points_v;
  if (temperatures > 0) curve.temperature_c = temperature / temperatures;
  return curve;
}

SupplyCurve peak_curve(std::span<const SagLine> lines, const Radio& radio) {
  SupplyCurve curve;
  for (const SagLine& line : lines) {
    if (refuses(line, radio)) continue;
    const double current_a = agreed_current(line, radio);
    if (current_a > kLargestExtrapolation * line.largest_a) continue;
    curve.points.push_back(
        {.charge = line.charge,
         .supply_v = supply_at_radio_v(radio, line.voltage_at(current_a), current_a),
         .scatter_v = line.scatter_at(current_a),
         .current_a = current_a,
         .step = line.step});
    if (line.temperature_c) curve.temperature_c = line.temperature_c;
  }
  std::ranges::sort(curve.points, std::greater{}, &SupplyPoint::charge);
  return curve;
}

bool refuses(const SagLine& line, const Radio& radio) noexcept {
  return line.refusal && line.refusal->asked_a <= agreed_current(line, radio);
}

bool reaches(const SupplyCurve& curve, double charge) noexcept {
  return !curve.points.empty() && curve.points.back().charge <= charge + kBin;
}

std::optional<SupplyPoint> lowest_down_to(const SupplyCurve& curve, double charge) noexcept {
  const auto end = below(curve, charge);
  std::optional<SupplyPoint> lowest;
  for (auto point = curve.points.begin(); point != end; ++point)
    if (!lowest || point->supply_v < lowest->supply_v) lowest = *point;
  if (!lowest || end == curve.points.end()) return lowest;
  const SupplyPoint there = interpolate(*(end - 1), *end, charge);
  return there.supply_v < lowest->supply_v ? there : *lowest;
}

std::optional<double> charge_at_supply(const SupplyCurve& curve, double supply_v) noexcept {
  for (std::size_t i = 1; i < curve.points.size(); ++i) {
    const SupplyPoint& upper = curve.points[i - 1];
    const SupplyPoint& lower = curve.points[i];
    if (upper.supply_v <= supply_v) return std::nullopt;
    if (lower.supply_v > supply_v) continue;
    const double share = (upper.supply_v - supply_v) / (upper.supply_v - lower.supply_v);
    return upper.charge + share * (lower.charge - upper.charge);
  }
  return std::nullopt;
}

double slope_at(const SupplyCurve& curve, double charge) noexcept {
  if (curve.points.size() < 2) return 0.0;
  auto lower = below(curve, charge);
  if (lower == curve.points.end()) --lower;
  if (lower == curve.points.begin()) ++lower;
  const auto upper = lower - 1;
  const double span = upper->charge - lower->charge;
  return span > 0.0 ? (upper->supply_v - lower->supply_v) / span : 0.0;
}

}  // namespace sagbench::analysis
