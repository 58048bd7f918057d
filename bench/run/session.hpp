#pragma once
// Everything a run or a check needs, put together and in the order of destruction.

#include <memory>
#include <string>
#include <vector>

#include "bench/run/controller.hpp"
#include "bench/run/cut_short_runs.hpp"
#include "bench/run/instruments.hpp"
#include "bench/run/run_session.hpp"
#include "bench/run/run_teller.hpp"
#include "bench/run/surroundings.hpp"
#include "bench/safety/off_alarm.hpp"
#include "bench/system/event_loop.hpp"
#include "bench/system/run_signals.hpp"

namespace sagbench::bench {

/// One program's dealing with one bench. What is passed outlives it. Errors as run_session() says.
class Session {
 public:
  /// The world is made from the files, `other_world` (may be null) in place of the pack's own.
  Session(const BenchAndPack& on, std::uint64_t seed,
          const drivers::virtual_bench::WorldSpec* other_world);
  /// In a world that is there already.
  Session(const BenchAndPack& on, const Surroundings& around);

  CheckReport check();
  /// For a load that a program which died may have left on.
  void switch_off() { loop_.run(look(true)); }
  RunResult run(const RunRequest& request);

 private:
  Session(const BenchAndPack& on, const Surroundings* around,
          std::unique_ptr<drivers::virtual_bench::VirtualBench> own_world);

  boost::asio::awaitable<bool> look(bool left_on);
  boost::asio::awaitable<void> insist_on_off();
  boost::asio::awaitable<bool> switch_off_with_alarm();
  boost::asio::awaitable<std::vector<std::string>> protect();
  /// What becomes of runs that were cut short, before another begins.
  void look_after(const std::vector<CutShortRun>& runs, reports::Archive& archive,
                  const AtHand& now, const std::string& path);
  static void refuse_what_cannot_go_on(const RunRequest& request);
  /// Both put the run into the archive and claim it, and return its id.
  std::string begin(reports::Archive& archive, const RunRequest& request);
  std::string go_on(reports::Archive& archive, const RunRequest& request);
  AtHand at_hand(const RunRequest& request);
  boost::asio::awaitable<bool> give_time_to_think();
  void tell(const std::string& text) const;
  Surroundings::StopRun stop_run();
  Agility agility() const;
  RunBegun begun(const RunRequest& request) const;
  std::vector<RunWatch*> watches_and(RunWatch* status) const;
  void let_watch_stay();
  boost::asio::awaitable<reports::RunClosing> carry_out(const RunRequest& request);
  reports::RunClosing carry_out_safely(const RunRequest& request);
  void require_attendance(const RunRequest& request) const;
  void refuse_bad_look(const Plan& plan) const;
  std::unique_ptr<Recharger> make_recharger();
  drivers::Guards guards() const;
  double protection_a() const;

  const BenchAndPack& on_;
  const Surroundings* const around_;  // null: this program's own
  EventLoop loop_;
  const Limits limits_;
  std::unique_ptr<drivers::virtual_bench::VirtualBench> own_world_;
  drivers::virtual_bench::VirtualBench* world_;  // null with real instruments
  Instruments instruments_;
  std::unique_ptr<RunWatch> watch_;  // goes before the loop
  std::unique_ptr<Rig> rig_;         // null once the run is over and its watch stays on
  std::unique_ptr<RunSignals> signals_;
  std::unique_ptr<OffAlarm> off_alarm_;
  std::optional<Continuation> continuation_;
  std::string begun_utc_;                   // as the archive has it
  std::optional<reports::RunClaim> claim_;  // goes after the journal
  std::unique_ptr<Journal> journal_;        // goes before the loop
  analysis::Sample look_;
};

}  // namespace sagbench::bench
