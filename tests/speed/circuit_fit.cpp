// A record of ten hours at ten readings a second, and how long fitting a circuit over charge to all
// of it takes. Writes the record as doubles (time, current, voltage) to the file named, and what
// was found, with what another program needs to do the same, to standard output.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <random>
#include <vector>

#include "analysis/charge_circuit_fit.hpp"

using namespace sagbench::analysis;

namespace {

constexpr int kReadings = 360'000;
constexpr double kEvery_s = 0.1;
constexpr double kNoise_v = 0.001;

/// An hour of steady discharge, then a quarter of an hour of pulses, and so on.
double current_a(int reading) {
  constexpr int kSteady = 36'000, kPulses = 9'000, kPulse = 100, kPeriod = 400;
  const int in_turn = reading % (kSteady + kPulses);
  if (in_turn < kSteady) return 1.0;
  return in_turn % kPeriod < kPulse ? 10.0 : 0.0;
}

/// Source with bends, resistances that grow with the charge removed, two branches.
PulseTrain record() {
  std::mt19937_64 engine(1);
  std::normal_distribution<double> noise(0.0, kNoise_v);
  const double fast = std::exp(-kEvery_s / 2.0), slow = std::exp(-kEvery_s / 45.0);
  PulseTrain train;
  double removed_ah = 0.0, first_a = 0.0, second_a = 0.0, before_a = 0.0;
  for (int i = 0; i < kReadings; ++i) {
    const double now_a = current_a(i);
    const double seconds = i == 0 ? 0.0 : kEvery_s;
    removed_ah += now_a * seconds / 3600.0;
    if (i > 0) {
      first_a = now_a + (first_a - now_a) * fast;
      second_a = now_a + (second_a - now_a) * slow;
    }
    const double source_v = 13.2 - 0.03 * removed_ah + 0.3 * std::exp(-removed_ah) -
                            0.4 * std::exp(0.6 * (removed_ah - 14.0));
    const double growth = 1.0 + 0.03 * removed_ah;
    const double drop_v = growth * (0.02 * now_a + 0.008 * first_a + 0.006 * second_a);
    train.push_back({.time_s = i * kEvery_s,
                     .after_s = seconds,
                     .before_a = before_a,
                     .current_a = now_a,
                     .voltage_v = source_v - drop_v + noise(engine),
                     .removed_ah = removed_ah});
    before_a = now_a;
  }
  return train;
}

std::vector<double> values(const FittedCurve& curve) {
  std::vector<double> found;
  for (const Fitted& fitted : curve.values) found.push_back(fitted.value);
  return found;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return EXIT_FAILURE;
  const PulseTrain train = record();
  std::ofstream file(argv[1], std::ios::binary);
  for (const PulseReading& reading : train)
    for (const double value : {reading.time_s, reading.current_a, reading.voltage_v})
      file.write(reinterpret_cast<const char*>(&value), sizeof value);
  const auto begin = std::chrono::steady_clock::now();
  const auto circuit = fit_charge_circuit({&train, 1}, train.back().removed_ah);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
  if (!circuit) {
    fmt::print(stderr, "{}\n", circuit.why());
    return EXIT_FAILURE;
  }
  std::vector<double> taus_s;
  std::vector<std::vector<double>> ohms = {values(circuit->r0_ohm)};
  for (const ChargeBranch& branch : circuit->branches) {
    taus_s.push_back(branch.tau_s.value);
    ohms.push_back(values(branch.ohm));
  }
  const TauRange range = tau_range({&train, 1});
  fmt::print(
      R"({{"seconds": {}, "source_ah": {}, "resistance_ah": {}, "source_v": {}, "ohms": {}, )"
      R"("taus_s": {}, "range_s": [{}, {}], "rms_v": {}}})"
      "\n",
      took.count(), circuit->source_v.removed_ah, circuit->r0_ohm.removed_ah,
      values(circuit->source_v), ohms, taus_s, range.shortest_s, range.longest_s,
      circuit->residual_rms_v);
  return EXIT_SUCCESS;
}
