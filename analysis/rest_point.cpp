#include "analysis/rest_point.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "analysis/charge_integral.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/relaxed_voltage.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

/// Which way the charge went last, small steps left out.
class Way {
 public:
  explicit Way(double least_ah) : least_ah_(least_ah) {}

  void follow(double removed_ah) {
    if (!begun_) extreme_ah_ = removed_ah;
    begun_ = true;
    const double back_ah =
        way_ == Approach::discharging ? extreme_ah_ - removed_ah : removed_ah - extreme_ah_;
    if (back_ah >= least_ah_)
      way_ = way_ == Approach::discharging ? Approach::charging : Approach::discharging;
    if (back_ah < 0.0 || back_ah >= least_ah_) extreme_ah_ = removed_ah;
  }
  Approach last() const { return way_; }

 private:
  double least_ah_;
  bool begun_ = false;
  double extreme_ah_ = 0.0;  // furthest on that way
  Approach way_ = Approach::charging;
};

class RestSearch {
 public:
  RestSearch(const Recording& recording, const ChargeState& charge)
      : recording_(recording),
        charge_(charge),
        times_(limits_of(recording.pack.chemistry).lead_acid ? kLeadAcidRest : RestTimes{}),
        way_(kSamePlace * charge.reference_ah()) {}

  std::vector<RestPoint> run() {
    for (std::size_t i = 0; i < recording_.samples.size(); ++i) {
      if (first_ && !goes_on(i)) close(i);
      way_.follow(charge_.removed_ah(i));
      if (!first_ && rests(recording_.samples[i])) first_ = i;
    }
    if (first_) close(recording_.samples.size());
    return std::move(found_);
  }

 private:
  bool rests(const Sample& sample) const {
    const Step& step = recording_.steps[static_cast<std::size_t>(sample.step)];
    return step.kind != StepKind::recharge && is_resting(sample, recording_.pack) &&
           shows_pack(sample, recording_.pack);
  }
  bool goes_on(std::size_t i) const {
    const Sample& before = recording_.samples[i - 1];
    const Sample& sample = recording_.samples[i];
    const double moved_ah = std::abs(charge_.removed_ah(i) - charge_.removed_ah(*first_));
    return rests(sample) && moved_ah < kSamePlace * charge_.reference_ah() &&
           gap_between(recording_.gaps, before, sample) == nullptr;
  }
  /// When the current before ended, as far as the record tells.
  double began_s() const {
    const Sample& first = recording_.samples[*first_];
    if (*first_ == 0) return first.time_s;
    const double before_s = recording_.samples[*first_ - 1].time_s;
    return std::clamp(first.commanded_since_s.value_or(before_s), before_s, first.time_s);
  }
  void close(std::size_t last) {
    std::vector<Reading> readings;
    for (std::size_t i = *first_; i < last; ++i)
      readings.push_back({recording_.samples[i].time_s, recording_.samples[i].voltage_v});
    const double began = began_s();
    const double rested_s = readings.back().time_s - began;
    const double removed_ah = charge_.removed_ah(last - 1);
    first_.reset();
    if (rested_s < times_.shortest_s) return;
    const auto relaxed = relaxed_voltage(readings, began, times_.relaxed_after_s);
    if (!relaxed) return;
    const double scale_u_v =
        rectangular(voltage_term(recording_.accuracy).half_width(relaxed->voltage_v));
    found_.push_back({.removed_ah = removed_ah,
                      .approach = way_.last(),
                      .voltage_v = {relaxed->voltage_v,
                                    kCoverageFactor * std::hypot(relaxed->standard_u_v, scale_u_v),
                                    kCoverageFactor},
                      .own_u_v = relaxed->standard_u_v,
                      .last_v = readings.back().value,
                      .rested_s = rested_s,
                      .end_s = readings.back().time_s});
  }

  const Recording& recording_;
  const ChargeState& charge_;
  RestTimes times_;
  Way way_;
  std::optional<std::size_t> first_;
  std::vector<RestPoint> found_;
};

}  // namespace

std::string_view name_of(Approach approach) noexcept {
  return approach == Approach::charging ? "charging" : "discharging";
}

std::vector<RestPoint> rest_points(const Recording& recording, const ChargeState& charge) {
  return RestSearch(recording, charge).run();
}

std::vector<RestPoint> best_rests(std::span<const RestPoint> rests, Approach approach,
                                  double full_ah) {
  std::vector<RestPoint> wanted;
  std::ranges::copy_if(rests, std::back_inserter(wanted),
                       [=](const RestPoint& rest) { return rest.approach == approach; });
  std::ranges::sort(wanted, {}, &RestPoint::removed_ah);
  std::vector<RestPoint> best;
  for (const RestPoint& rest : wanted) {
    const bool here =
        !best.empty() && rest.removed_ah - best.back().removed_ah < kSamePlace * full_ah;
    if (!here)
      best.push_back(rest);
    else if (rest.own_u_v < best.back().own_u_v)
      best.back() = rest;
  }
  return best;
}

}  // namespace sagbench::analysis
