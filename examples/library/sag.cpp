// What a measured discharge says of a pack, and whether a simulated pack of its kind sags as much.
#include <analysis/figures.hpp>
#include <analysis/measured_data.hpp>
#include <chrono>
#include <cstdio>
#include <drivers/checked.hpp>
#include <drivers/electronic_load.hpp>
#include <drivers/virtual/virtual_bench.hpp>
#include <drivers/virtual_time.hpp>
#include <fstream>

using namespace sagbench;

boost::asio::awaitable<double> sag_v(drivers::ElectronicLoad& load, drivers::Clock& clock,
                                     double current_a) {
  const drivers::Guards guards{
      .limit_a = 1.2 * current_a, .limit_w = 300, .stop_v = 10, .watchdog_s = 20};
  co_await checked(load.open());
  co_await checked(load.protect(guards));
  co_await checked(load.set_current(current_a));
  const auto rest = co_await checked(load.voltage());
  const auto on = co_await load.input_on();  // errors are values: until OFF none is thrown
  const auto alarm = clock.make_alarm();
  co_await alarm->until(clock.now() + std::chrono::seconds(10));
  const auto drawn = co_await load.voltage();
  const bool off = co_await checked(load.input_off());
  if (!off) throw std::runtime_error("the input stays on: pull the pack's lead");
  on.value();  // throws what went wrong, if anything did
  co_return rest.value - drawn.value().value;
}

int main(int count, char** arguments) try {
  analysis::Pack pack;  // lithium iron phosphate where nothing else is said
  pack.series = 4;
  pack.rated_capacity_ah = 10;
  std::vector<analysis::Sample> samples;
  std::ifstream csv(count > 1 ? arguments[1] : "discharge.csv");  // time_s,voltage_V,current_A
  csv.ignore(100, '\n');
  char comma = ',';
  for (analysis::Sample s; csv >> s.time_s >> comma >> s.voltage_v >> comma >> s.current_a;)
    samples.push_back(s);
  if (!csv.eof()) throw std::runtime_error("the CSV is not there, or not all of it is numbers");

  const auto figures = analysis::analyse(analysis::measured_recording(pack, samples));
  const auto capacity = figures.capacity.value().charge_ah;
  const auto ohm = figures.resistances.steps.value()[0].points[2].ohm.value();  // after 10 s
  std::printf("%.2f Ah +/- %.2f Ah, ", capacity.value, capacity.expanded_uncertainty);
  std::printf("%.4f ohm +/- %.4f ohm\n", ohm.value, ohm.expanded_uncertainty);

  drivers::VirtualTime time;
  drivers::virtual_bench::VirtualBench bench({.pack = pack, .leads_ohm = 0}, {}, {}, 1);
  drivers::ElectronicLoad load(bench.load_transport(time.clock), time.clock,
                               *drivers::built_in_dialect("scpi-1999-guarded"));
  const double sag = time.run(sag_v(load, time.clock, 20));
  std::printf("at 20 A: %.2f V expected, %.2f V seen\n", 20 * ohm.value, sag);
} catch (const std::exception& fault) {
  std::fprintf(stderr, "sag: %s\n", fault.what());
  return 1;
}
