#include "analysis/step_resistance.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>
#include <string>

#include "analysis/held_current.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/repeatability.hpp"
#include "analysis/resistance_budget.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kNearEnough = 0.01;  // of a time: a current that stood for it but for that
constexpr double kLongestApart = 0.5;
constexpr double kLongest_s = 45.0;  // what comes later says nothing of any time asked for

/// What a step looks like so long after its edge.
struct Moment {
  double age_s = 0.0;
  double voltage_v = 0.0;
  double current_a = 0.0;
  double fall_v_per_s = 0.0;  // between the readings about it
  double doubt_s = 0.0;       // half-width of its age
};

std::string seconds_text(double seconds) {
  return rounded(seconds, seconds < 1.0 ? 3 : 1) + " s";
}

double noise_of(std::span<const Sample> samples, double Sample::*value) {
  std::vector<Reading> readings;
  for (const Sample& sample : samples) readings.push_back({sample.time_s, sample.*value});
  return scatter(readings);
}

class Step {
 public:
  Step(const Recording& recording, const HeldCurrent& held)
      : accuracy_(recording.accuracy),
        rest_(std::span(recording.samples).subspan(held.rest, held.first - held.rest)),
        held_(within(std::span(recording.samples).subspan(held.first, held.last - held.first),
                     held.edge_s)),
        edge_s_(held.edge_s),
        edge_doubt_s_(held.edge_doubt_s) {
    const auto later = held_.subspan(held_.size() / 2);  // the bend after the edge is no noise
    noise_v_ = std::max(noise_of(rest_, &Sample::voltage_v), noise_of(later, &Sample::voltage_v));
    noise_a_ = std::max(noise_of(rest_, &Sample::current_a), noise_of(later, &Sample::current_a));
    std::vector<Reading> readings;
    for (const Sample& sample : rest_) readings.push_back({sample.time_s, sample.voltage_v});
    recovers_v_per_s_ = slope_per_s(readings);
  }

  StepPoint point(double after_s, double next_s) const {
    StepPoint point;
    point.after_s = point.read_after_s = after_s;
    const auto moment = moment_at(after_s, next_s);
    if (!moment) {
      point.ohm = Finding<Measured>::missing(moment.why());
      return point;
    }
    point.read_after_s = moment->age_s;
    measure(*moment, point);
    return point;
  }
  double rise_a() const { return held_.back().current_a - rest_.back().current_a; }

 private:
  static std::span<const Sample> within(std::span<const Sample> held, double edge_s) {
    const auto last = std::ranges::upper_bound(held, edge_s + kLongest_s, {}, &Sample::time_s);
    return held.first(std::max<std::size_t>(1, static_cast<std::size_t>(last - held.begin())));
  }

  double age(const Sample& sample) const { return sample.time_s - edge_s_; }

  Moment at(const Sample& left, const Sample& right, double age_s) const {
    const double apart_s = right.time_s - left.time_s;
    Moment moment{age_s, right.voltage_v, right.current_a};
    moment.doubt_s = edge_doubt_s_ + right.round_trip_s / 2.0;
    if (!(apart_s > 0.0)) return moment;
    const double share = std::clamp((age_s - age(left)) / apart_s, 0.0, 1.0);
    moment.voltage_v = std::lerp(left.voltage_v, right.voltage_v, share);
    moment.current_a = std::lerp(left.current_a, right.current_a, share);
    moment.fall_v_per_s = (left.voltage_v - right.voltage_v) / apart_s;
    return moment;
  }

  Finding<Moment> moment_at(double after_s, double next_s) const {
    const auto missing = [](const std::string& why) { return Finding<Moment>::missing(why); };
    if (age(held_.back()) < after_s * (1.0 - kNearEnough))
      return missing(
          "the current did not stand that long, or was not read: the last reading came " +
          seconds_text(age(held_.back())) + " after the edge");
    if (age(held_.front()) >= after_s) {
      if (age(held_.front()) >= next_s)
        return missing("the first reading came " + seconds_text(age(held_.front())) +
                       " after the edge");
      const Sample& second = held_[std::min<std::size_t>(1, held_.size() - 1)];
      return at(held_.front(), second, age(held_.front()));
    }
    const auto right = std::ranges::lower_bound(held_, edge_s_ + after_s, {}, &Sample::time_s);
    if (right == held_.end())
      return at(held_[held_.size() - std::min<std::size_t>(2, held_.size())], held_.back(),
                age(held_.back()));
    const bool near = right->time_s - (right - 1)->time_s <= kLongestApart * after_s;
    if (!near && age(*right) >= next_s) return missing("no reading came near that time");
    return at(*(right - 1), *right, near ? after_s : age(*right));
  }

  void measure(const Moment& moment, StepPoint& point) const {
    const double both = std::sqrt(2.0);
    const TwoReadings readings{rest_.back().voltage_v - moment.voltage_v,
                               moment.current_a - rest_.back().current_a, both * noise_v_,
                               both * noise_a_};
    if (!(readings.rise_a > 0.0)) {
      point.ohm = Finding<Measured>::missing("the current had not come on");
      return;
    }
    point.budget = resistance_budget(voltage_term(accuracy_), accuracy_.load_current,
                                     leads_half_width_ohm(accuracy_), readings);
    point.budget.add_rectangular("recovery before the step",
                                 std::abs(recovers_v_per_s_) * moment.age_s, "V",
                                 1.0 / readings.rise_a);
    point.budget.add_rectangular("instant of the reading", moment.doubt_s, "s",
                                 moment.fall_v_per_s / readings.rise_a);
    const Measured ohm{readings.ohm(), kCoverageFactor * point.budget.combined(), kCoverageFactor};
    point.ohm = ohm;
    if (!below_nothing(ohm)) return;
    point.ohm = Finding<Measured>::missing(kVoltageRose);
    point.budget = {};
  }

  const BenchAccuracy& accuracy_;
  std::span<const Sample> rest_, held_;
  double edge_s_, edge_doubt_s_;
  double noise_v_ = 0.0, noise_a_ = 0.0;
  double recovers_v_per_s_ = 0.0;
};

StepResistance measured(const Recording& recording, const HeldCurrent& held, double charge) {
  const Step step(recording, held);
  StepResistance result;
  result.charge = charge;
  result.current_a = step.rise_a();
  result.held_s = recording.samples[held.last - 1].time_s - held.edge_s;
  result.phase = recording.samples[held.first].phase;
  for (std::size_t i = 0; i < kStepTimes_s.size(); ++i)
    result.points.push_back(step.point(
        kStepTimes_s[i], i + 1 < kStepTimes_s.size() ? kStepTimes_s[i + 1]
                                                     : std::numeric_limits<double>::infinity()));
  return result;
}

bool alike(const StepResistance& left, const StepResistance& right) {
  return left.phase == right.phase && std::abs(left.charge - right.charge) < kSameCharge;
}

void add_group(std::span<const StepResistance> group, std::vector<StepRepeatability>& found) {
  for (std::size_t time = 0; time < kStepTimes_s.size(); ++time) {
    std::vector<double> ohms;
    for (const StepResistance& step : group) {
      const StepPoint& point = step.points[time];
      // Readings that came later than asked are of unlike ages.
      if (point.ohm && point.read_after_s <= point.after_s * (1.0 + kLongestApart))
        ohms.push_back(point.ohm->value);
    }
    if (const auto repeated = repeatability(ohms))
      found.push_back({group.front().charge, kStepTimes_s[time], *repeated});
  }
}

}  // namespace

Finding<std::vector<StepResistance>> step_resistances(const Recording& recording,
                                                      const ChargeState& charge) {
  std::vector<StepResistance> found;
  for (const HeldCurrent& held : held_currents(recording))
    found.push_back(measured(recording, held, charge.charge(held.first - 1)));
  if (found.empty())
    return Finding<std::vector<StepResistance>>::missing(
        "no current came on within 10 s of a reading at rest");
  return found;
}

std::vector<StepRepeatability> step_repeatability(const std::vector<StepResistance>& steps) {
  std::vector<StepResistance> pulses;
  for (const StepResistance& step : steps)
    if (step.phase == Phase::peak || step.phase == Phase::imported) pulses.push_back(step);
  std::vector<StepRepeatability> found;
  for (std::size_t first = 0; first < pulses.size();) {
    std::size_t last = first + 1;
    while (last < pulses.size() && alike(pulses[first], pulses[last])) ++last;
    add_group(std::span(pulses).subspan(first, last - first), found);
    first = last;
  }
  return found;
}

}  // namespace sagbench::analysis
