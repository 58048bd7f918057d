#pragma once
// bench.json: the instruments and how they are wired.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "analysis/accuracy.hpp"
#include "analysis/pack.hpp"
#include "drivers/meter.hpp"

namespace sagbench::bench {

struct LoadEntry {
  std::string port;
  unsigned baud = 115200;
  std::string dialect = "scpi-1999";
  double max_current_a = 0.0;
  double max_power_w = 0.0;
  double max_voltage_v = 0.0;
  double min_voltage_v = 0.0;
  std::optional<analysis::AccuracyTerm> voltage, current;
  std::string calibrated;
  std::optional<bool> remote_sense{};    // absent: left as the load has it
  std::optional<double> slew_a_per_s{};  // absent: taken to be at once
};

struct MeterEntry {
  std::string port;
  unsigned baud = 9600;
  std::string dialect = "scpi-1999";
  drivers::MeterChannels channels;
  std::optional<analysis::AccuracyTerm> voltage;
  double temperature_c =
      1.0;  // half-width; default is common practice for a thermistor input, no source
  std::string calibrated;
  /// Integration time of a voltage in cycles of the mains; absent: left as the meter has it.
  /// Cycles, not seconds: whole ones are what rejects hum at 50 Hz and at 60 Hz alike, and what
  /// meters are told.
  std::optional<double> nplc;
};

struct Bench {
  std::string name;
  LoadEntry load;
  std::optional<MeterEntry> meter;
  double leads_ohm = 0.0;
  /// Of the air around the simulated pack; absent: as WorldSpec has it. Never where the bench is
  /// real.
  std::optional<double> simulated_room_c{};
  bool is_virtual() const noexcept { return load.port == "virtual"; }
};

/// Throws InputError naming `origin`. Either every instrument is virtual or none is.
Bench bench_from_json(const nlohmann::json& json, const std::string& origin);
analysis::BenchAccuracy accuracy_of(const Bench& bench);

}  // namespace sagbench::bench
