#include "specimen.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "drivers/random.hpp"

namespace sagbench::intervals {
namespace {

using analysis::AccuracyTerm;
using analysis::Chemistry;
using analysis::RadioClass;
using drivers::Random;
using nlohmann::json;

constexpr std::uint64_t kStream = 77;

struct Make {
  Chemistry chemistry;
  const char* name;
  int series;
  double supply_min_v;      // of a radio for such packs
  double slow_it, fast_it;  // between which it is discharged
};
constexpr std::array kMakes = {Make{Chemistry::lfp, "LFP", 4, 11.0, 0.2, 1.0},
                               Make{Chemistry::nmc, "NMC", 3, 9.0, 0.2, 1.0},
                               Make{Chemistry::agm, "AGM", 6, 10.5, 0.1, 0.3},
                               Make{Chemistry::nimh, "NiMH", 10, 10.0, 0.2, 1.0}};

/// Evenly on a scale of ratios.
double by_ratio(Random& random, double low, double high) {
  return low * std::pow(high / low, random.uniform(0.0, 1.0));
}

analysis::Pack pack_of(const Make& make, Random& random) {
  analysis::Pack pack;
  pack.name = make.name;
  pack.chemistry = make.chemistry;
  pack.series = make.series;
  pack.rated_capacity_ah = by_ratio(random, 4.0, 25.0);
  pack.max_discharge_current_a = std::max(1.5 * pack.rated_capacity_ah, 5.0);
  const bool board = random.uniform(0.0, 1.0) < 0.5;
  pack.protection_board = board && !analysis::limits_of(make.chemistry).lead_acid;
  return pack;
}

analysis::Radio radio_of(RadioClass radio_class, double supply_min_v, double peak_a,
                         double cable_ohm) {
  analysis::Radio radio;
  radio.name = std::string(analysis::name_of(radio_class));
  radio.radio_class = radio_class;
  radio.supply_min_v = supply_min_v;
  radio.supply_max_v = 17.0;
  radio.receive_a = 0.05 * peak_a;
  radio.transmit_peak_a = peak_a;
  radio.transmit_idle_a = 0.1 * peak_a;
  radio.cable_ohm = cable_ohm;
  return radio;
}

/// The discharge current, which gain and offset of the current are measured against.
double discharge_a(const Specimen& specimen) {
  return specimen.rate_it * analysis::rated_current_it_a(specimen.pack);
}

/// An offset is worth from a third of to three times what the gain is worth.
AccuracyTerm claim(Random& random, double of_reading, double usual, double range) {
  return {of_reading, by_ratio(random, 1.0 / 3.0, 3.0) * of_reading * usual / range, range};
}

bench::Bench bench_for(const Specimen& specimen, double nominal_v, Random& random) {
  constexpr double kLoad_a = 40.0, kLoad_v = 60.0, kMeter_v = 20.0;
  bench::Bench made;
  made.load.port = "virtual";
  made.load.max_current_a = kLoad_a;
  made.load.max_power_w = 800.0;
  made.load.max_voltage_v = kLoad_v;
  made.load.min_voltage_v = 1.0;
  made.load.voltage = AccuracyTerm{0.0005, 0.0002, kLoad_v};
  made.load.current =
      claim(random, by_ratio(random, 0.0005, 0.002), discharge_a(specimen), kLoad_a);
  bench::MeterEntry meter;
  meter.port = "virtual";
  meter.channels.pack = 101;
  meter.channels.temperature = 120;
  if (specimen.pack.series == 4 && random.uniform(0.0, 1.0) < 0.5)
    meter.channels.cells = {102, 103, 104, 105};
  meter.voltage = claim(random, by_ratio(random, 0.0003, 0.002), nominal_v, kMeter_v);
  meter.temperature_c = 0.5;
  made.meter = meter;
  made.leads_ohm = by_ratio(random, 0.002, 0.008);
  return made;
}

json json_of(const analysis::Radio& radio) {
  return {{"schema", "sagbench/radio/1"},
          {"name", radio.name},
          {"class", std::string(analysis::name_of(radio.radio_class))},
          {"supply_min_V", radio.supply_min_v},
          {"supply_max_V", radio.supply_max_v},
          {"receive_A", radio.receive_a},
          {"transmit_peak_A", radio.transmit_peak_a},
          {"transmit_idle_A", radio.transmit_idle_a},
          {"cable_ohm", radio.cable_ohm}};
}

json first_steps(const Specimen& specimen) {
  return {{{"do", "rest"}, {"seconds", 30}}, {{"do", "capacity"}, {"rate_It", specimen.rate_it}}};
}

json transmit_json(const analysis::Radio& radio) {
  return {{"do", "transmit"}, {"radio", json_of(radio)}, {"mode", "rtty"}, {"transmit_share", 0.5}};
}

}  // namespace

Specimen drawn(std::uint64_t seed) {
  Random random(seed, kStream);
  const Make& make = kMakes[seed % kMakes.size()];
  Specimen specimen;
  specimen.seed = seed;
  specimen.pack = pack_of(make, random);
  specimen.rate_it = by_ratio(random, make.slow_it, make.fast_it);
  const double rated_ah = specimen.pack.rated_capacity_ah;
  const double largest_a = std::min(22.0, 1.2 * rated_ah);
  const double low_power_a = random.uniform(1.0, 2.5);
  specimen.radios = {
      radio_of(RadioClass::qrp, make.supply_min_v, low_power_a, random.uniform(0.01, 0.05))};
  specimen.currents_a = {low_power_a, 0.5 * (low_power_a + largest_a), largest_a};
  constexpr double kLarge_ah = 12.0;
  if (rated_ah > kLarge_ah)
    specimen.radios.push_back(
        radio_of(RadioClass::qro, make.supply_min_v, largest_a, random.uniform(0.004, 0.015)));
  specimen.at_charge = {0.9, 0.5, 0.2};
  specimen.on_air = radio_of(RadioClass::qro, make.supply_min_v, largest_a, 0.01);
  specimen.bench = bench_for(specimen, analysis::nominal_voltage_v(specimen.pack), random);
  return specimen;
}

json steps_of(const Specimen& specimen) {
  json steps = first_steps(specimen);
  steps.push_back({{"do", "peak-current"},
                   {"currents_A", specimen.currents_a},
                   {"hold_s", specimen.hold_s},
                   {"at_charge", specimen.at_charge}});
  for (const analysis::Radio& radio : specimen.radios) {
    steps.push_back(transmit_json(radio));
    steps.back()["seconds"] = 20;
  }
  return steps;
}

json on_air_steps_of(const Specimen& specimen) {
  json steps = first_steps(specimen);
  steps.push_back(transmit_json(specimen.on_air));
  steps.back()["until"] = "end_of_discharge";
  return steps;
}

}  // namespace sagbench::intervals
