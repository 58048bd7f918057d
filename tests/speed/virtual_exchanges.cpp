// speed_virtual SECONDS: exchanges a second of processor time on the virtual clock, through the
// real session, the drivers, their transport and the virtual instruments with the pack behind them.
// Current, the load's voltage and the meter's in turn, as in a run.

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <exception>

#include "drivers/electronic_load.hpp"
#include "drivers/meter.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "drivers/virtual_clock.hpp"
#include "measured_loop.hpp"

namespace {

using namespace sagbench;
using drivers::virtual_bench::VirtualBench;

constexpr double kDrawn_a = 1e-6;  // the pack outlasts the measurement
constexpr int kAtOnce = 1000;      // rounds between two looks at the clock

drivers::virtual_bench::WorldSpec world() {
  drivers::virtual_bench::WorldSpec world;
  world.pack.chemistry = analysis::Chemistry::lfp;
  world.pack.series = 4;
  world.pack.rated_capacity_ah = 10.0;
  return world;
}

/// Everything of a run but what decides and what keeps.
struct Instruments {
  boost::asio::io_context io{1};
  drivers::VirtualClock clock{io, {}};
  VirtualBench bench{world(), {}, drivers::virtual_bench::MeterSpec{{101, {}, {}}, {}}, 1};
  drivers::ElectronicLoad load{bench.load_transport(clock), clock,
                               speed::expect(drivers::load_dialect("scpi-1999", "."))};
  drivers::Meter meter{bench.meter_transport(clock),
                       clock,
                       speed::expect(drivers::load_dialect("scpi-1999", ".")),
                       {101, {}, {}}};
};

boost::asio::awaitable<void> switch_on(Instruments& on) {
  const auto opened = co_await on.load.open();
  speed::expect(opened);
  const auto meter_opened = co_await on.meter.open();
  speed::expect(meter_opened);
  const auto set = co_await on.load.set_current(kDrawn_a);
  speed::expect(set);
  const auto energised = co_await on.load.input_on();
  speed::expect(energised);
}

/// Three exchanges.
boost::asio::awaitable<void> read_all(Instruments& on) {
  const auto current = co_await on.load.current();
  speed::expect(current);
  const auto load_voltage = co_await on.load.voltage();
  speed::expect(load_voltage);
  const auto voltage = co_await on.meter.pack_voltage();
  speed::expect(voltage);
}

boost::asio::awaitable<void> measure(Instruments& on, double seconds) {
  co_await switch_on(on);
  const std::clock_t begin = std::clock();
  const auto took_s = [begin] {
    return static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
  };
  long rounds = 0;
  for (; took_s() < seconds; rounds += kAtOnce)
    for (int round = 0; round < kAtOnce; ++round) co_await read_all(on);
  std::printf("%.0f\n", static_cast<double>(3 * rounds) / took_s());
}

void measure(double seconds) {
  Instruments on;
  bool done = false;
  boost::asio::co_spawn(on.io, measure(on, seconds), [&](const std::exception_ptr& thrown) {
    done = true;
    if (thrown) std::rethrow_exception(thrown);
  });
  on.clock.run([&] { return done; }, {});
}

}  // namespace

int main(int count, char** words) {
  if (count != 2) {
    std::fputs("usage: speed_virtual SECONDS\n", stderr);
    return 2;
  }
  try {
    measure(std::atof(words[1]));
  } catch (const std::exception& failure) {
    std::fprintf(stderr, "%s\n", failure.what());
    return 4;
  }
  return 0;
}
