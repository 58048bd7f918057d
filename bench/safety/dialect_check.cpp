#include "bench/safety/dialect_check.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <filesystem>

#include "bench/files/input_error.hpp"

namespace sagbench::bench {

using drivers::Dialect;
using drivers::Operation;

namespace {

/// A key of the bench file wants what only some dialects have.
[[noreturn]] void refuse(const std::string& bench_path, const std::string& key,
                         const std::string& value, const Dialect& dialect,
                         const std::string& lacks) {
  throw InputError(fmt::format(
      "{}: \"{}\": {} is not accepted; dialect \"{}\" has no {}: leave the key out, or use a "
      "dialect that has it",
      bench_path, key, value, dialect.name, lacks));
}

void check_guard(const Dialect& dialect, const char* key, const std::optional<Operation>& guard,
                 double value, const char* unit, const std::string& bench_path) {
  if (!guard || drivers::takes(*guard, value)) return;
  throw InputError(fmt::format(
      "{}: \"load.dialect\": \"{}\" is not accepted; its {} takes {} {}, and this run needs {:g}",
      bench_path, dialect.name, key, drivers::limits_in_words(*guard), unit, value));
}

}  // namespace

Dialect dialect_for(const std::string& bench_path, const std::string& key,
                    const std::string& name) {
  const auto folder = std::filesystem::path(bench_path).parent_path().string();
  auto dialect = drivers::load_dialect(name, folder.empty() ? "." : folder);
  if (!dialect)
    throw InputError(fmt::format("{}: \"{}\": {}", bench_path, key, dialect.error().message));
  return std::move(*dialect);
}

void check_load_dialect(const Dialect& dialect, const LoadEntry& load,
                        const std::string& bench_path) {
  if (!load.remote_sense) return;
  const bool remote = *load.remote_sense;
  if (remote ? dialect.remote_sense_on : dialect.remote_sense_off) return;
  refuse(bench_path, "load.remote_sense", remote ? "true" : "false", dialect,
         remote ? "remote_sense_on" : "remote_sense_off");
}

void check_meter_dialect(const Dialect& dialect, const MeterEntry& meter,
                         const std::string& bench_path) {
  const drivers::MeterChannels& channels = meter.channels;
  if (channels.pack && !dialect.measure_voltage_channel)
    refuse(bench_path, "meter.channels.pack", fmt::format("{}", *channels.pack), dialect,
           "measure_voltage_channel");
  if (channels.temperature && !dialect.measure_temperature_channel)
    refuse(bench_path, "meter.channels.temperature", fmt::format("{}", *channels.temperature),
           dialect, "measure_temperature_channel");
  if (!meter.nplc) return;
  const std::string value = fmt::format("{:g}", *meter.nplc);
  if (!dialect.integration_cycles)
    refuse(bench_path, "meter.nplc", value, dialect, "integration_cycles");
  if (!drivers::takes(*dialect.integration_cycles, *meter.nplc))
    throw InputError(fmt::format(
        "{}: \"meter.nplc\": {} is not accepted; integration_cycles of dialect \"{}\" takes {}",
        bench_path, value, dialect.name, drivers::limits_in_words(*dialect.integration_cycles)));
}

void check_guards(const Dialect& dialect, const drivers::Guards& guards,
                  const std::string& bench_path) {
  check_guard(dialect, "current_protection", dialect.current_protection, guards.limit_a, "A",
              bench_path);
  check_guard(dialect, "power_protection", dialect.power_protection, guards.limit_w, "W",
              bench_path);
  check_guard(dialect, "low_voltage_stop", dialect.low_voltage_stop, guards.stop_v, "V",
              bench_path);
  // A watchdog that waits less than asked is set to what it can.
  const double longest_s =
      dialect.watchdog ? dialect.watchdog->max.value_or(guards.watchdog_s) : guards.watchdog_s;
  check_guard(dialect, "watchdog", dialect.watchdog, std::min(guards.watchdog_s, longest_s), "s",
              bench_path);
}

void check_currents(const Dialect& dialect, const Plan& plan, const analysis::Pack& pack,
                    double allowed_a) {
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    for (const NamedCurrent& current : currents_of(plan.steps[i], pack)) {
      const double current_a = std::min(current.current_a, allowed_a);
      if (drivers::takes(dialect.set_current, current_a)) continue;
      throw InputError(fmt::format(
          "{}: \"steps[{}].{}\": {:g} A is not accepted; set_current of dialect \"{}\" takes {} A",
          plan.origin, i, current.key, current_a, dialect.name,
          drivers::limits_in_words(dialect.set_current)));
    }
  }
}

}  // namespace sagbench::bench
