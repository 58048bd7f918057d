#include "bench/run/instruments.hpp"

#include "bench/files/input_error.hpp"
#include "bench/safety/dialect_check.hpp"

namespace sagbench::bench {
namespace {

template <class Value>
Value expect_input(drivers::Result<Value> result) {
  if (!result) throw InputError(result.error().message);
  return std::move(*result);
}

template <class Entry>
std::unique_ptr<drivers::Transport> line_to(const Entry& entry,
                                            const boost::asio::any_io_executor& executor,
                                            drivers::Clock& clock) {
  return expect_input(drivers::make_transport(executor, clock, entry.port, entry.baud));
}

}  // namespace

Instruments make_instruments(const boost::asio::any_io_executor& executor, drivers::Clock& clock,
                             const Bench& bench, const std::string& bench_path,
                             drivers::virtual_bench::VirtualBench* world,
                             const LineChange& change) {
  const auto changed = [&](std::unique_ptr<drivers::Transport> line) {
    return change ? change(std::move(line), clock) : std::move(line);
  };
  Instruments made;
  auto load_dialect = dialect_for(bench_path, "load.dialect", bench.load.dialect);
  check_load_dialect(load_dialect, bench.load, bench_path);
  made.load = std::make_unique<drivers::ElectronicLoad>(
      changed(world != nullptr ? world->load_transport(clock)
                               : line_to(bench.load, executor, clock)),
      clock, std::move(load_dialect));
  if (bench.load.remote_sense) made.load->use_remote_sense(*bench.load.remote_sense);
  if (!bench.meter) return made;
  auto meter_dialect = dialect_for(bench_path, "meter.dialect", bench.meter->dialect);
  check_meter_dialect(meter_dialect, *bench.meter, bench_path);
  made.meter = std::make_unique<drivers::Meter>(
      changed(world != nullptr ? world->meter_transport(clock)
                               : line_to(*bench.meter, executor, clock)),
      clock, std::move(meter_dialect), bench.meter->channels, drivers::SessionOptions{},
      bench.meter->nplc);
  return made;
}

drivers::virtual_bench::WorldSpec world_of(const analysis::Pack& pack, const Bench& bench) {
  drivers::virtual_bench::WorldSpec world;
  world.pack = pack;
  if (bench.leads_ohm > 0.0) world.leads_ohm = bench.leads_ohm;
  if (bench.simulated_room_c) world.ambient_c = *bench.simulated_room_c;
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
