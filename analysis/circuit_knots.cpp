#include "analysis/circuit_knots.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace sagbench::analysis {
namespace {

constexpr double kResistanceApart = 0.05;  // of the full charge
constexpr double kSteadyApart = 0.001;     // of the full charge, where no current changes
constexpr std::size_t kBins = 1000;

/// An amount spread over charge.
struct Mass {
  double removed_ah = 0.0;
  double amount = 0.0;
  double apart_ah = 0.0;  // what lies there must be so far from what was chosen before
};

/// Charges that share the mass evenly.
std::vector<double> even_shares(std::span<const Mass> masses, std::size_t count) {
  double total = 0.0;
  for (const Mass& mass : masses) total += mass.amount;
  std::vector<double> found;
  double below = 0.0;
  for (const Mass& mass : masses) {
    const double next = (static_cast<double>(found.size()) + 0.5) / static_cast<double>(count);
    below += mass.amount;
    if (below < next * total) continue;
    if (found.empty() || mass.removed_ah - found.back() >= mass.apart_ah)
      found.push_back(mass.removed_ah);
  }
  return found;
}

/// Where knots must be apart, more mass than they can share would be shared by those behind it
/// instead: what is too much is taken away. Gives how many knots there is room for, `count` at
/// most.
std::size_t level(std::span<Mass> masses, double from_ah, std::size_t count) {
  constexpr int kRounds = 50;  // what is taken away makes every share smaller
  const auto room = [&](std::size_t i) {
    const double before_ah = i == 0 ? from_ah : masses[i - 1].removed_ah;
    return (masses[i].removed_ah - before_ah) / masses[i].apart_ah;
  };
  double rooms = 0.0;
  for (std::size_t i = 0; i < masses.size(); ++i) rooms += room(i);
  count = std::min(count, static_cast<std::size_t>(rooms));
  for (int round = 0; round < kRounds; ++round) {
    double total = 0.0;
    for (const Mass& mass : masses) total += mass.amount;
    const double share = total / static_cast<double>(count);
    for (std::size_t i = 0; i < masses.size(); ++i)
      masses[i].amount = std::min(masses[i].amount, room(i) * share);
  }
  return count;
}

struct Bin {
  double removed_ah = 0.0;
  double voltage_v = 0.0;
  double current_a = 0.0;
  double product = 0.0;    // of voltage and current, beyond that of their means
  double square_a2 = 0.0;  // of the current, beyond that of its mean
  double readings = 0.0;
  bool edge = false;    // the current changes in it
  bool pulsed = false;  // or did not long before
};

void make_means(Bin& bin) {
  bin.removed_ah /= bin.readings;
  bin.voltage_v /= bin.readings;
  bin.current_a /= bin.readings;
  bin.product -= bin.readings * bin.voltage_v * bin.current_a;
  bin.square_a2 -= bin.readings * bin.current_a * bin.current_a;
}

/// Means over charge, empty stretches left out.
std::vector<Bin> binned(std::span<const PulseTrain> trains, double from_ah, double span_ah) {
  const double edge_a = kEdgeShare * largest_current_a(trains);
  std::vector<Bin> bins(kBins);
  for (const PulseTrain& train : trains)
    for (const PulseReading& reading : train) {
      const double share = (reading.removed_ah - from_ah) / span_ah;
      Bin& bin = bins[std::min(kBins - 1, static_cast<std::size_t>(share * kBins))];
      bin.removed_ah += reading.removed_ah;
      bin.voltage_v += reading.voltage_v;
      bin.current_a += reading.current_a;
      bin.product += reading.voltage_v * reading.current_a;
      bin.square_a2 += reading.current_a * reading.current_a;
      bin.readings += 1.0;
      if (is_edge(reading, edge_a)) bin.edge = true;
    }
  std::erase_if(bins, [](const Bin& bin) { return bin.readings == 0.0; });
  std::ranges::for_each(bins, make_means);
  return bins;
}

/// So much charge behind an edge still tells of it: a long pulse crosses many bins.
void mark_pulses(std::vector<Bin>& bins, double near_ah) {
  double until_ah = -std::numeric_limits<double>::infinity();
  for (Bin& bin : bins) {
    if (bin.edge) until_ah = bin.removed_ah + near_ah;
    bin.pulsed = bin.removed_ah <= until_ah;
  }
}

/// What the voltage would be without the current, as far as one resistance tells: the one that the
/// changes of current within the bins show.
void put_sag_back(std::vector<Bin>& bins) {
  double product = 0.0, square_a2 = 0.0;
  for (const Bin& bin : bins) {
    product += bin.product;
    square_a2 += bin.square_a2;
  }
  const double sag_ohm = square_a2 > 0.0 ? std::max(-product / square_a2, 0.0) : 0.0;
  for (Bin& bin : bins) bin.voltage_v += sag_ohm * bin.current_a;
}

struct Reach {
  double from_ah, to_ah;
};

Reach reach_of(std::span<const PulseTrain> trains) {
  Reach reach{trains.front().front().removed_ah, trains.front().front().removed_ah};
  for (const PulseTrain& train : trains)
    for (const PulseReading& reading : train) {
      reach.from_ah = std::min(reach.from_ah, reading.removed_ah);
      reach.to_ah = std::max(reach.to_ah, reading.removed_ah);
    }
  return reach;
}

}  // namespace

ChargeKnots source_knots(std::span<const PulseTrain> trains, double full_ah) {
  const Reach reach = reach_of(trains);
  const double span_ah = reach.to_ah - reach.from_ah;
  if (!(span_ah > 0.0)) return ChargeKnots({reach.from_ah});
  if (span_ah < 2.0 * kSourceApart * full_ah) return ChargeKnots({reach.from_ah, reach.to_ah});
  auto bins = binned(trains, reach.from_ah, span_ah);
  mark_pulses(bins, kSourceApart * full_ah);
  put_sag_back(bins);
  const auto [low, high] = std::ranges::minmax(bins, {}, &Bin::voltage_v);
  const double span_v = std::max(high.voltage_v - low.voltage_v, 1e-9);
  std::vector<Mass> masses;
  for (std::size_t i = 1; i < bins.size(); ++i) {
    const double moved = (bins[i].removed_ah - bins[i - 1].removed_ah) / span_ah;
    const double fallen = std::abs(bins[i].voltage_v - bins[i - 1].voltage_v) / span_v;
    const double apart = bins[i].pulsed || bins[i - 1].pulsed ? kSourceApart : kSteadyApart;
    masses.push_back({bins[i].removed_ah, moved + fallen, apart * full_ah});
  }
  const std::size_t count = level(masses, reach.from_ah, kMostSourceKnots - 2);
  std::vector<double> knots = {reach.from_ah};
  for (const double knot : even_shares(masses, count))
    if (knot > knots.back() && knot < reach.to_ah) knots.push_back(knot);
  knots.push_back(reach.to_ah);
  return ChargeKnots(std::move(knots));
}

ChargeKnots resistance_knots(std::span<const PulseTrain> trains, double full_ah) {
  const double edge_a = kEdgeShare * largest_current_a(trains);
  std::vector<Mass> masses;
  for (const PulseTrain& train : trains)
    for (const PulseReading& reading : train) {
      if (&reading != &train.front() && is_edge(reading, edge_a))
        masses.push_back({reading.removed_ah, std::abs(reading.current_a - reading.before_a),
                          kResistanceApart * full_ah});
    }
  std::ranges::sort(masses, {}, &Mass::removed_ah);
  auto knots = even_shares(masses, kMostResistanceKnots);
  if (knots.empty()) knots.push_back(reach_of(trains).from_ah);
  return ChargeKnots(std::move(knots));
}

}  // namespace sagbench::analysis
