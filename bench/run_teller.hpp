#pragma once
// Tells a watch of its run, and shields the run from the watch.

#include <functional>
#include <memory>

#include "bench/rig.hpp"
#include "bench/run_watch.hpp"

namespace sagbench::bench {

/// Lives as long as the steps of the run. Everything passed outlives it.
class RunTeller {
 public:
  /// `watch` may be null: then nothing here does anything.
  RunTeller(RunWatch* watch, const RunBegun& run, const Rig& rig, Journal& journal,
            const Progress& progress);
  ~RunTeller();
  RunTeller(const RunTeller&) = delete;
  RunTeller& operator=(const RunTeller&) = delete;

  void load_off(bool off);
  void ended(const reports::RunClosing& closing);
  /// False once the watch has thrown: it is told nothing more.
  bool followed() const noexcept;

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace sagbench::bench
