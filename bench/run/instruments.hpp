#pragma once
// The load and the meter of a bench file, made ready to be opened.

#include <boost/asio/any_io_executor.hpp>
#include <functional>
#include <memory>
#include <string>

#include "bench/files/bench_file.hpp"
#include "drivers/electronic_load.hpp"
#include "drivers/meter.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::bench {

struct Instruments {
  std::unique_ptr<drivers::ElectronicLoad> load;
  std::unique_ptr<drivers::Meter> meter;  // null without one
};

/// Is given the line to an instrument and returns what is used instead.
using LineChange = std::function<std::unique_ptr<drivers::Transport>(
    std::unique_ptr<drivers::Transport>, drivers::Clock&)>;

/// `world` stands behind the port "virtual" and may be null for real ports. `change` may be empty.
/// `bench_path` is the bench file, for messages; relative dialect paths start beside it. Throws
/// InputError for a bad port or dialect, also for a dialect that lacks what the bench file asks
/// for. Nothing is opened yet.
Instruments make_instruments(const boost::asio::any_io_executor& executor, drivers::Clock& clock,
                             const Bench& bench, const std::string& bench_path,
                             drivers::virtual_bench::VirtualBench* world,
                             const LineChange& change = nullptr);

/// What the simulated bench is made of: the pack as its file says with everyday spread, the
/// instruments within their classes.
drivers::virtual_bench::WorldSpec world_of(const analysis::Pack& pack, const Bench& bench);
drivers::virtual_bench::LoadSpec load_of(const Bench& bench);
std::optional<drivers::virtual_bench::MeterSpec> meter_of(const Bench& bench);

}  // namespace sagbench::bench
