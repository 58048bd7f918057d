#include "bench/instruments.hpp"

#include "bench/input_error.hpp"

namespace sagbench::bench {
namespace {

template <class Value>
Value expect_input(drivers::Result<Value> result) {
  if (!result) throw InputError(result.error().message);
  return std::move(*result);
}

}  // namespace

Instruments make_instruments(boost::asio::any_io_executor executor, drivers::Clock& clock,
                             const Bench& bench, const std::string& folder,
                             drivers::virtual_bench::VirtualBench* world) {
  Instruments made;
  auto load_line = world != nullptr ? world->load_transport(clock)
                                    : expect_input(drivers::make_transport(
                                          executor, clock, bench.load.port, bench.load.baud));
  made.load = std::make_unique<drivers::ElectronicLoad>(
      std::move(load_line), clock, expect_input(drivers::load_dialect(bench.load.dialect, folder)));
  if (!bench.meter) return made;
  auto meter_line = world != nullptr ? world->meter_transport(clock)
                                     : expect_input(drivers::make_transport(
                                           executor, clock, bench.meter->port, bench.meter->baud));
  made.meter = std::make_unique<drivers::Meter>(
      std::move(meter_line), clock,
      expect_input(drivers::load_dialect(bench.meter->dialect, folder)), bench.meter->channels);
  return made;
}

drivers::virtual_bench::WorldSpec world_of(const analysis::Pack& pack, const Bench& bench) {
  drivers::virtual_bench::WorldSpec world;
  world.pack = pack;
  if (bench.leads_ohm > 0.0) world.leads_ohm = bench.leads_ohm;
  return world;
}

drivers::virtual_bench::LoadSpec load_of(const Bench& bench) {
  const auto accuracy = accuracy_of(bench);
  return {bench.load.max_current_a, bench.load.max_power_w, bench.load.max_voltage_v,
          bench.load.min_voltage_v, accuracy.load_voltage,  accuracy.load_current};
}

std::optional<drivers::virtual_bench::MeterSpec> meter_of(const Bench& bench) {
  if (!bench.meter) return std::nullopt;
  return drivers::virtual_bench::MeterSpec{bench.meter->channels, *accuracy_of(bench).meter_voltage,
                                           bench.meter->temperature_c};
}

}  // namespace sagbench::bench
