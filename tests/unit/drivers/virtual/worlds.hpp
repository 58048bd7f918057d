#pragma once
// Packs and questions the tests of the virtual bench share.

#include <string>

#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::drivers::virtual_bench::test {

/// Cells that do not differ, so that a figure of the chemistry is one of the pack.
inline WorldSpec even_world(analysis::Chemistry chemistry, int series, double rated_ah) {
  WorldSpec world;
  world.pack.chemistry = chemistry;
  world.pack.series = series;
  world.pack.rated_capacity_ah = rated_ah;
  world.ambient_c = 25.0;
  world.cells.assign(static_cast<std::size_t>(series), CellTrait{});
  return world;
}

inline WorldSpec lfp_world() {
  return even_world(analysis::Chemistry::lfp, 4, 10.0);
}

/// A load of the class of design examples: 0.05 % + 0.02 % of 60 V, 0.1 % + 0.05 % of 30 A.
inline LoadSpec load_spec() {
  LoadSpec spec;
  spec.voltage = {0.0005, 0.0002, 60.0};
  spec.current = {0.001, 0.0005, 30.0};
  return spec;
}

inline MeterSpec meter_spec() {
  MeterSpec spec;
  spec.channels = {101, {102, 103, 104, 105}, 106};
  spec.voltage = {0.00005, 0.00002, 20.0};
  return spec;
}

/// Sends one message and gives all answers, line ends and all.
inline std::string ask(VirtualInstrument& instrument, const std::string& message,
                       Time now = Time{0}) {
  std::string answers;
  for (const Answer& answer : instrument.receive(message + "\n", now)) answers += answer.bytes;
  return answers;
}

inline double ask_number(VirtualInstrument& instrument, const std::string& message,
                         Time now = Time{0}) {
  return std::stod(ask(instrument, message, now));
}

/// Number of the oldest error, which this takes from the queue.
inline int take_error(VirtualInstrument& instrument) {
  return std::stoi(ask(instrument, "SYST:ERR?"));
}

}  // namespace sagbench::drivers::virtual_bench::test
