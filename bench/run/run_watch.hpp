#pragma once
// Whoever follows a run from beside it. Told what happens; decides nothing. A run without one is
// the same to the last byte.

#include <boost/asio/awaitable.hpp>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/pack.hpp"
#include "bench/run/journal.hpp"
#include "bench/run/peak_sags.hpp"
#include "bench/run/progress.hpp"
#include "bench/run/surroundings.hpp"
#include "bench/safety/limit_room.hpp"
#include "bench/safety/limits.hpp"
#include "bench/system/event_loop.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

/// What is fixed of a run.
struct RunBegun {
  std::string run_id;
  std::string utc;  // of its start, ISO 8601
  std::string archive_path;
  std::string bench_name;
  analysis::Pack pack;
  std::vector<std::string> plan;  // what its steps are called, in their order
  Limits limits;
  bool simulated = false;
};

/// How far the run has come, by samples that are safe in the archive.
struct RunStanding {
  double charge_removed_ah = 0.0;  // since the pack was last full
  std::vector<LimitRoom> limits;   // the nearest first
};

/// At one moment.
struct RunState {
  double time_s = 0.0;
  std::size_t plan_step = 0;  // from 0
  std::string label;          // "capacity at 2 A", "recharge"; empty: before the first step
  std::optional<TimeLeft> step_left, run_left;  // absent: cannot be told
  bool input_on = false;
  double commanded_a = 0.0;
  std::optional<RunStanding> standing;  // absent: nothing is in the archive yet
  std::deque<PeakSag> peaks;            // by acknowledged samples
};

/// What comes after the state's step; null where that is the last. A recharge is before the step
/// that it is for. `plan`: RunBegun::plan.
const std::string* next_step(const std::vector<std::string>& plan, const RunState& state);

/// All members are called on the event loop's thread; none may block. One that throws is called no
/// more, and the run goes on.
class RunWatch {
 public:
  virtual ~RunWatch() = default;

  /// As it is called where it fails.
  virtual std::string_view name() const = 0;

  /// `state` may be asked for at any time after; nothing once the run has ended.
  virtual void begun(const RunBegun& run, std::function<std::optional<RunState>()> state) = 0;
  /// Samples and events that are in the archive now, in their order, each once.
  virtual void kept(const KeptBatch& batch) = 0;
  /// At the run's end: `off` once that is confirmed; before, for each attempt that failed, false.
  virtual void load_off([[maybe_unused]] bool off) {}
  /// The archive holds all of the run.
  virtual void ended(const reports::RunClosing& closing) = 0;
  /// The run is over, its instruments are closed and its id is told: it may stay on until this
  /// returns.
  virtual boost::asio::awaitable<bool> stay();
};

/// Makes the watch of a run that is about to begin: on its loop, before any message to an
/// instrument but an OFF that a run which was cut short may need. `stop` ends the run as a signal
/// to the program does; without effect once it has ended. May throw InputError: then there is no
/// run.
using MakeRunWatch =
    std::function<std::unique_ptr<RunWatch>(EventLoop&, Surroundings::StopRun stop)>;

}  // namespace sagbench::bench
