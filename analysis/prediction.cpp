#include "analysis/prediction.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "analysis/capacity.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/past_currents.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/sent_pattern.hpp"
#include "analysis/setting_error.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {
namespace {

// Half-widths (our choice): resistances between and below the tested states of charge and at
// another temperature; the charge that one recharge brings and another does not.
constexpr double kResistanceDoubt = 0.10;
constexpr double kRechargeDoubt = 0.005;
constexpr double kHour_s = 3600.0;

using Missing = Finding<Prediction>;

/// Where the walk through the discharge ends.
struct Course {
  double hours = 0.0;
  double lowest_supply_v = 0.0;
  double mean_a = 0.0;
  std::string limited_by;
};

/// What a prediction is made with; each may be varied.
struct Assumed {
  double lag_h = 0.0;
  double resistance_factor = 1.0;
  double charge_factor = 1.0;
};

struct End {
  double margin_v = 0.0;
  const char* by = "";
};

/// Goes down the discharge in steps of charge, finer and finer where the end is passed.
class Walk {
 public:
  Walk(const Recording& before, const Outing& outing, const SentPattern& pattern,
       const SourceCurve& curve, double reference_ah, const SettingError& error,
       const Assumed& assumed)
      : pack_(before.pack),
        outing_(outing),
        pattern_(pattern),
        curve_(curve),
        reference_ah_(reference_ah),
        error_(error),
        charge_factor_(assumed.charge_factor),
        past_(assumed.lag_h),
        removed_ah_(outing.charge_before_ah) {}

  Course run() {
    UnderPattern here = look(0.0);
    End end = nearest_end(here);
    course_.lowest_supply_v = here.lowest_supply_v;
    double step_ah = reference_ah_ / kSteps;
    while (end.margin_v > 0.0 && removed_ah_ < kMost * reference_ah_) {
      const double ahead_ah = std::min(step_ah, to_plans_end_ah(here.mean_a));
      const UnderPattern there = look(ahead_ah);
      const End next = nearest_end(there);
      if (!(next.margin_v > 0.0) && step_ah > reference_ah_ / kFinest) {
        step_ah /= 2.0;
        continue;
      }
      end = next;
      go(ahead_ah, here.mean_a);
      here = there;
      if (!outing_.hours || course_.hours <= *outing_.hours * (1.0 + kSame))
        course_.lowest_supply_v = std::min(course_.lowest_supply_v, here.lowest_supply_v);
    }
    course_.limited_by = end.by;
    course_.mean_a = course_.hours > 0.0 ? (removed_ah_ - outing_.charge_before_ah) / course_.hours
                                         : here.mean_a;
    return course_;
  }

 private:
  static constexpr double kSteps = 50.0;     // in the whole discharge
  static constexpr double kFinest = 3200.0;  // at its end
  static constexpr double kMost = 2.0;       // of the measured capacity: no discharge gives more
  static constexpr double kSame = 1e-9;

  /// The charge is counted by the load's readings, which differ a little from what it is told.
  UnderPattern look(double ahead_ah) const {
    const double depth_ah = (removed_ah_ + ahead_ah + past_.lag_ah()) / charge_factor_;
    UnderPattern found =
        pattern_.on(curve_.at(depth_ah), curve_.response_at(depth_ah), pack_.series);
    found.mean_a += error_.offset_a + error_.gain * found.mean_a;
    return found;
  }
  void go(double charge_ah, double mean_a) {
    const double hours = charge_ah / mean_a;
    past_.advance(mean_a, hours * kHour_s);
    removed_ah_ += charge_ah;
    course_.hours += hours;
  }
  double to_plans_end_ah(double mean_a) const {
    const double left_h = outing_.hours.value_or(0.0) * (1.0 - kSame) - course_.hours;
    return left_h > 0.0 ? left_h * mean_a : kMost * reference_ah_;
  }
  End nearest_end(const UnderPattern& here) const {
    End end{here.lowest_pack_v - end_of_discharge_voltage_v(pack_), "end of discharge"};
    const auto sooner = [&end](double margin_v, const char* by) {
      if (margin_v < end.margin_v) end = {margin_v, by};
    };
    if (outing_.until_supply_min)
      sooner(here.middle_over_v - outing_.radio.supply_min_v, "supply_min");
    if (here.lowest_cell_v)
      sooner(*here.lowest_cell_v - cell_end_of_discharge_v(pack_), "cell end of discharge");
    return end;
  }

  const Pack& pack_;
  const Outing& outing_;
  const SentPattern& pattern_;
  const SourceCurve& curve_;
  double reference_ah_;
  const SettingError& error_;
  double charge_factor_;
  PastCurrents past_;
  double removed_ah_;
  Course course_;
};

class Predictor {
 public:
  Predictor(const Recording& before, const Outing& outing, const Discharge& discharge)
      : before_(before),
        outing_(outing),
        discharge_(discharge),
        reference_ah_(flow_of(discharge).charge_ah),
        charge_(before, reference_ah_),
        pattern_(outing.radio, outing.sent),
        error_(setting_error(before)) {}

  Finding<Prediction> run() const {
    const Lag lag = lag_of(before_.pack);
    const double longest_lag_h = lag.hours + lag.half_width_h;
    const auto usual = responses(lag.hours);
    const auto best = course({lag.hours, 1.0, 1.0}, usual);
    if (!best) return Missing::missing("no peaks were measured before it");
    double hours_variance = std::pow(best->hours * pattern_.mean_uncertainty(best->hours), 2);
    double supply_variance = 0.0;
    const auto vary = [&](const Assumed& other, const std::vector<ResponsePoint>& measured) {
      const auto found = course(other, measured);
      if (!found) return;
      hours_variance += std::pow(rectangular(found->hours - best->hours), 2);
      supply_variance += std::pow(rectangular(found->lowest_supply_v - best->lowest_supply_v), 2);
    };
    vary({lag.hours, 1.0 + kResistanceDoubt, 1.0}, usual);
    vary({longest_lag_h, 1.0, 1.0}, responses(longest_lag_h));
    vary({lag.hours, 1.0, 1.0 + kRechargeDoubt}, usual);
    Prediction prediction;
    prediction.hours = {best->hours, kCoverageFactor * std::sqrt(hours_variance), kCoverageFactor};
    prediction.lowest_supply_v = {best->lowest_supply_v,
                                  kCoverageFactor * std::sqrt(supply_variance), kCoverageFactor};
    prediction.limited_by = best->limited_by;
    prediction.mean_current_a = best->mean_a;
    return prediction;
  }

 private:
  /// Of all that is assumed only the lag changes what was measured.
  std::vector<ResponsePoint> responses(double lag_h) const {
    return pulse_responses(before_, charge_, lag_h, discharge_);
  }
  std::optional<Course> course(const Assumed& assumed,
                               const std::vector<ResponsePoint>& measured) const {
    if (measured.empty()) return std::nullopt;
    const SourceCurve curve(before_, charge_, discharge_, measured, assumed.lag_h,
                            assumed.resistance_factor);
    if (curve.empty()) return std::nullopt;
    return Walk(before_, outing_, pattern_, curve, reference_ah_, error_, assumed).run();
  }

  const Recording& before_;
  const Outing& outing_;
  const Discharge& discharge_;
  double reference_ah_;
  ChargeState charge_;
  SentPattern pattern_;
  SettingError error_;
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
