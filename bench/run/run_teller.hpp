#pragma once
// Tells watches of their run, and shields the run from them.

#include <functional>
#include <memory>
#include <vector>

#include "bench/run/run_watch.hpp"
#include "bench/safety/rig.hpp"

namespace sagbench::bench {

/// Lives as long as the steps of the run. Everything passed outlives it.
class RunTeller {
 public:
  /// None of `watches` is null; without any, nothing here does anything.
  RunTeller(std::vector<RunWatch*> watches, const RunBegun& run, const Rig& rig, Journal& journal,
            const Progress& progress);
  ~RunTeller();
  RunTeller(const RunTeller&) = delete;
  RunTeller& operator=(const RunTeller&) = delete;

  void load_off(bool off);
  void ended(const reports::RunClosing& closing);
  /// False once it has thrown: it is told nothing more.
  bool is_told(const RunWatch* watch) const noexcept;

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace sagbench::bench
