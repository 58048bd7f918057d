#include "truth.hpp"

#include <algorithm>
#include <limits>
#include <optional>

#include "bench/run/instruments.hpp"
#include "bench/steps/procedures.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::intervals {
namespace {

using drivers::Time;
using drivers::virtual_bench::Sink;
using drivers::virtual_bench::VirtualPack;
using drivers::virtual_bench::WorldSpec;

// The procedure's own times, as bench/steps/peak_current.cpp has them.
constexpr double kRestBefore_s = 120.0, kRecovery_s = 30.0;
constexpr double kLow_s = 10.0, kHigh_s = 1.0;
constexpr double kLowRate_it = 0.2, kHighRate_it = 1.0;
constexpr double kHour_s = 3600.0;

/// What is known of the pack before it is tried.
struct Subject {
  WorldSpec world;
  std::uint64_t seed = 0;
  double full_ah = 0.0;
  double travel_a = 0.0;
};

/// Drives a pack without a load's or a meter's error.
class Hand {
 public:
  Hand(const WorldSpec& world, std::uint64_t seed) : pack_(world, seed) {}

  /// Pack voltage at the end.
  double hold(double current_a, double seconds) {
    Sink sink;
    sink.current_a = current_a;
    pack_.connect(sink);
    now_ += drivers::from_seconds(seconds);
    pack_.advance(now_);
    removed_ah_ += current_a * seconds / kHour_s;
    return pack_.sense_v();
  }
  double removed_ah() const { return removed_ah_; }

 private:
  VirtualPack pack_;
  Time now_{0};
  double removed_ah_ = 0.0;
};

/// The peak-current step as the plan has it, from a full pack: at each state of charge the two
/// currents, then the peaks.
class PeakStep {
 public:
  PeakStep(const Subject& subject, const Specimen& specimen)
      : specimen_(specimen),
        subject_(subject),
        it_a_(specimen.pack.rated_capacity_ah),  // all of it in one hour
        hand_(subject.world, subject.seed) {}

  /// Both at their last instant.
  double ohm_at(double asked_charge) {
    double ohm = 0.0;
    for (const double charge : specimen_.at_charge) {
      travel_to(charge);
      const double here_ohm = two_currents();
      if (charge == asked_charge) ohm = here_ohm;
      peaks(0.0);
    }
    return ohm;
  }

  /// The lowest pack voltage under peaks of this current, each begun at the very charge.
  double lowest_v(double peak_a) {
    double lowest_v = std::numeric_limits<double>::infinity();
    for (const double charge : specimen_.at_charge) {
      travel_to(charge + before_ah(peak_a) / subject_.full_ah);
      two_currents();
      lowest_v = std::min(lowest_v, peaks(peak_a));
    }
    return lowest_v;
  }

 private:
  /// What a visit removes before this peak.
  double before_ah(double peak_a) const {
    double coulombs = it_a_ * (kLowRate_it * kLow_s + kHighRate_it * kHigh_s);
    for (const double current_a : specimen_.currents_a)
      if (current_a < peak_a) coulombs += current_a * specimen_.hold_s;
    return coulombs / kHour_s;
  }
  void travel_to(double charge) {
    const double away_ah = (1.0 - charge) * subject_.full_ah - hand_.removed_ah();
    hand_.hold(subject_.travel_a, away_ah / subject_.travel_a * kHour_s);
    hand_.hold(0.0, kRestBefore_s);
  }
  double two_currents() {
    const double low_v = hand_.hold(kLowRate_it * it_a_, kLow_s);
    const double high_v = hand_.hold(kHighRate_it * it_a_, kHigh_s);
    hand_.hold(0.0, kRecovery_s);
    return (low_v - high_v) / ((kHighRate_it - kLowRate_it) * it_a_);
  }
  /// Voltage at the end of the peak of `asked_a`.
  double peaks(double asked_a) {
    double asked_v = 0.0;
    for (const double current_a : specimen_.currents_a) {
      const double held_v = hand_.hold(current_a, specimen_.hold_s);
      if (current_a == asked_a) asked_v = held_v;
      hand_.hold(0.0, kRecovery_s);
    }
    return asked_v;
  }

  const Specimen& specimen_;
  const Subject& subject_;
  double it_a_;
  Hand hand_;
};

double margin_v(const Subject& subject, const Specimen& specimen, const analysis::Radio& radio) {
  const double held_v = PeakStep(subject, specimen).lowest_v(radio.transmit_peak_a);
  return held_v - radio.transmit_peak_a * radio.cable_ohm - radio.supply_min_v;
}

}  // namespace

TrueFigures true_figures(const Specimen& specimen, double discharge_a) {
  const analysis::Pack& pack = specimen.pack;
  Subject subject{bench::world_of(pack, specimen.bench), specimen.seed};
  const auto end_cell_v =
      specimen.tapped() ? std::optional(analysis::cell_end_of_discharge_v(pack)) : std::nullopt;
  const auto discharge = drivers::virtual_bench::true_discharge(
      subject.world, subject.seed, discharge_a, analysis::end_of_discharge_voltage_v(pack),
      end_cell_v);
  subject.full_ah = discharge.charge_ah;
  subject.travel_a = bench::travel_current_a(pack, *pack.max_discharge_current_a);
  TrueFigures truth;
  truth.charge_ah = discharge.charge_ah;
  truth.energy_wh = discharge.energy_wh;
  constexpr double kHalf = 0.5;
  truth.ohm = PeakStep(subject, specimen).ohm_at(kHalf);
  for (const analysis::Radio& radio : specimen.radios)
    truth.margin_v.push_back(margin_v(subject, specimen, radio));
  return truth;
}

}  // namespace sagbench::intervals
