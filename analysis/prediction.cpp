#include "analysis/prediction.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "analysis/capacity.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/course.hpp"
#include "analysis/last_overs.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/scatter.hpp"
#include "analysis/sent_pattern.hpp"
#include "analysis/setting_error.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {
namespace {

// Half-widths (our choice): resistances between and below the tested states of charge and at
// another temperature; the charge that one recharge brings and another does not.
constexpr double kResistanceDoubt = 0.10;
constexpr double kRechargeDoubt = 0.005;
// The lowest of many readings lies so many standard deviations of one out (our choice).
constexpr double kExtreme = 2.0;
// The end is played so often, from so much of the measured capacity before it (our choice).
constexpr std::size_t kPlayed = 6;
constexpr double kPlayedBefore = 0.0025;
constexpr double kHour_s = 3600.0;

using Missing = Finding<Prediction>;

/// A value and its squared standard uncertainty.
struct Estimate {
  double value = 0.0;
  double variance = 0.0;

  void add(double u) { variance += u * u; }
  Measured expanded() const {
    return {value, kCoverageFactor * std::sqrt(variance), kCoverageFactor};
  }
};

/// Of one draw of several: mean and variance.
Estimate one_of(std::span<const double> drawn) {
  Estimate found;
  const auto count = static_cast<double>(drawn.size());
  for (const double value : drawn) found.value += value / count;
  for (const double value : drawn)
    found.variance += (value - found.value) * (value - found.value) / (count - 1.0);
  return found;
}

/// How a radio's time on the air ends.
struct Told {
  Estimate hours;
  Estimate lowest_supply_v;
  std::string limited_by;
};

/// Noise of one reading of the pack's voltage.
double voltage_noise_v(const Discharge& discharge) {
  std::vector<Reading> readings;
  readings.reserve(discharge.samples.size());
  for (const Sample& sample : discharge.samples)
    readings.push_back({sample.time_s, sample.voltage_v});
  return scatter(readings);
}

class Predictor {
 public:
  Predictor(const Recording& before, const Outing& outing, const Discharge& discharge)
      : before_(before),
        outing_(outing),
        discharge_(discharge),
        reference_ah_(flow_of(discharge).charge_ah),
        charge_(before, reference_ah_),
        pattern_(outing.radio, outing.sent),
        error_(setting_error(before)),
        noise_v_(voltage_noise_v(discharge)) {}

  Finding<Prediction> run() const {
    const Lag lag = lag_of(before_.pack);
    const auto usual = responses(lag.hours);
    const auto curve = source(usual, lag.hours);
    if (!curve) return Missing::missing("no peaks were measured before it");
    const Course best = course(*curve);
    Told told = ends(best, *curve);
    told.hours.add(best.hours * pattern_.mean_uncertainty(best.hours));
    if (best.fall_v_per_h > 0.0) told.hours.add(noise_v_ / best.fall_v_per_h);
    told.lowest_supply_v.add(kExtreme * noise_v_);
    const auto vary = [&](const std::optional<SourceCurve>& other, double charge_factor, double u) {
      if (!other) return;
      const Course found = course(*other, charge_factor);
      told.hours.add(u * (found.hours - best.hours));
      told.lowest_supply_v.add(u * (found.lowest_supply_v - best.lowest_supply_v));
    };
    const double longest_lag_h = lag.hours + lag.half_width_h;
    vary(source(usual, lag.hours, 1.0 + kResistanceDoubt), 1.0, rectangular(1.0));
    vary(source(responses(longest_lag_h), longest_lag_h), 1.0, rectangular(1.0));
    vary(curve, 1.0 + kRechargeDoubt, charge_u(best) / kRechargeDoubt);
    return Prediction{told.hours.expanded(), told.limited_by, told.lowest_supply_v.expanded(),
                      best.mean_a};
  }

 private:
  /// Of all that is assumed only the lag changes what was measured.
  std::vector<ResponsePoint> responses(double lag_h) const {
    return pulse_responses(before_, charge_, lag_h, discharge_);
  }
  std::optional<SourceCurve> source(const std::vector<ResponsePoint>& measured, double lag_h,
                                    double resistance_factor = 1.0) const {
    if (measured.empty()) return std::nullopt;
    SourceCurve curve(before_, charge_, discharge_, measured, lag_h, resistance_factor);
    if (curve.empty()) return std::nullopt;
    return curve;
  }
  Course course(const SourceCurve& curve, double charge_factor = 1.0) const {
    return course_on({before_.pack, outing_, pattern_, error_, reference_ah_}, curve,
                     charge_factor);
  }
  /// Several ends, each with another part of the pattern and begun at another charge. A little of
  /// what leads to the first drop-out is played too, so that it has the past it would have. How far
  /// a drop-out goes below the limit depends on when the supply is looked at.
  Told ends(const Course& best, const SourceCurve& curve) const {
    Told told{{best.hours, 0.0},
              {best.lowest_supply_v, std::pow(best.lowest_spread_v, 2)},
              std::string(best.limited_by)};
    if (!(best.hours > 0.0)) return told;
    std::array<double, kPlayed> hours{}, lowest_v{};
    for (std::size_t i = 0; i < kPlayed; ++i) {
      const double later = static_cast<double>(i) / kPlayed;
      const double before_ah =
          std::min(kPlayedBefore * (1.0 + later) * reference_ah_, best.hours * best.mean_a);
      const LastOvers end =
          last_overs(outing_, before_.pack, curve, {best.depth_ah - before_ah, best.mean_a},
                     i * outing_.sent.size() / kPlayed);
      hours[i] = best.hours - before_ah / best.mean_a + end.hours;
      lowest_v[i] = end.lowest_supply_v;
      told.limited_by = end.ended_by;
    }
    told.hours = one_of(hours);
    if (!best.in_step) return told;
    told.lowest_supply_v = one_of(lowest_v);
    if (told.limited_by == kBySupply)
      told.lowest_supply_v.add(
          rectangular(outing_.radio.supply_min_v - told.lowest_supply_v.value));
    return told;
  }
  /// Standard uncertainty, relative, of how far the reference discharge tells the charge there is:
  /// that of a recharge, and of the current's reading. Its gain errs alike in the discharge and on
  /// the air; its offset weighs more on the lower current.
  double charge_u(const Course& best) const {
    const Flow flow = flow_of(discharge_);
    const AccuracyTerm& current = before_.accuracy.load_current;
    const double reference_a = flow.charge_ah * kHour_s / flow.duration_s;
    const double offset_a = rectangular(current.of_range * current.range);
    return std::hypot(rectangular(kRechargeDoubt),
                      offset_a * (1.0 / best.mean_a - 1.0 / reference_a));
  }

  const Recording& before_;
  const Outing& outing_;
  const Discharge& discharge_;
  double reference_ah_;
  ChargeState charge_;
  SentPattern pattern_;
  SettingError error_;
  double noise_v_;
};

}  // namespace

Finding<Prediction> predict(const Recording& before, const Outing& outing) {
  if (const auto defect = defect_of(before)) return Missing::missing(*defect);
  const auto discharge = reference_discharge(before);
  if (!discharge) return Missing::missing(discharge.why());
  if (!(flow_of(*discharge).charge_ah > 0.0)) return Missing::missing("no charge was removed");
  if (outing.sent.empty()) return Missing::missing("nothing is sent");
  return Predictor(before, outing, *discharge).run();
}

}  // namespace sagbench::analysis
