#pragma once
// What stands around a run: for a caller who keeps the simulated world himself, so that it is there
// before the run and lives on after it, as a real bench does.

#include <functional>
#include <string>

#include "bench/run/instruments.hpp"
#include "bench/system/event_loop.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

/// All of it outlives the run. Functions may be empty; they are called on the event loop's thread.
struct Surroundings {
  /// Ends the run as a signal to the program does. Callable until the run has ended.
  using StopRun = std::function<void(reports::RunEnd, const std::string& reason)>;

  drivers::virtual_bench::VirtualBench& world;
  /// What the clock shows when the run begins: never earlier than the world has come already.
  drivers::Time begins{0};
  /// What stands between the run and its instruments.
  LineChange line;
  /// Called before the first exchange. What it spawns on the loop goes on beside the run and is
  /// destroyed with it. An exception out of there that is no std::exception is the death of the
  /// program: it leaves run_session() with nothing switched off, said or handed over any more.
  std::function<void(EventLoop&, StopRun)> begun;
  /// Told instead of the person: because the load cannot be confirmed off ...
  std::function<void(const std::string&)> alarmed;
  /// ... and whatever else there is to say before a run.
  std::function<void(const std::string&)> told = nullptr;
};

}  // namespace sagbench::bench
