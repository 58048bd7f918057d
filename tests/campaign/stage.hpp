#pragma once
// The world of one campaign run: pack, instruments, lines, disk and operator, and what goes wrong
// with them when. It outlives the programs that run in it.

#include <functional>
#include <map>
#include <optional>
#include <set>

#include "bench/run/surroundings.hpp"
#include "disk.hpp"
#include "fault_line.hpp"
#include "trace.hpp"
#include "witness.hpp"

namespace sagbench::campaign {

/// Thrown through the event loop. No std::exception, so that nothing in the program can heed it.
struct Crash {};
/// The program has gone on for days of its time: it would never end.
struct Overdue {};

class Stage {
 public:
  /// All passed outlives it.
  Stage(const Scene& scene, const std::vector<Fault>& faults, Disk& disk, Trace& trace);

  /// For the next program, which starts now.
  bench::Surroundings surroundings();
  /// The program is gone, and its event loop with it.
  void program_left() noexcept;
  /// Time goes by without a program.
  void pass(double seconds);

  /// Beside the faults: the `number`-th open, write or read of all lines fails.
  void fail_operation(int number, drivers::ErrorKind how);
  int operations() const noexcept { return operations_; }
  /// Whether that operation came.
  bool failed() const noexcept {
    return failing_operation_ > 0 && operations_ >= failing_operation_;
  }

  /// Without a program: when one was last seen, or what pass() came to.
  drivers::Time now() const;
  Witness& witness() noexcept { return witness_; }
  drivers::virtual_bench::VirtualBench& world() noexcept { return world_; }
  /// Places in the list of faults that came about.
  const std::set<std::size_t>& begun() const noexcept { return begun_; }
  double begun_at_s(std::size_t place) const { return begun_at_s_.at(place); }
  /// Whether a line was not sound at that time of the world or shortly before, so that a program
  /// may have had reason not to believe what it read.
  bool disturbed_near(double time_s) const;

 private:
  void connect(LineState& state, Line line);
  void sending(LineState& state);
  void plan(drivers::Time at, std::function<void()> what);
  void run_due();
  boost::asio::awaitable<void> play();
  void begin(std::size_t place);
  void begin_on_line(const Fault& fault);
  void begin_defect(const Fault& fault);
  void begin_in_computer(const Fault& fault);
  void change(const Fault& fault, bool broken);
  void worsen_contact(const Fault& fault);
  LineState& line(Line which) { return which == Line::load ? load_ : meter_; }

  Scene scene_;
  std::vector<Fault> faults_;
  Disk& disk_;
  Trace& trace_;
  drivers::virtual_bench::VirtualBench world_;
  Witness witness_;
  LineState load_, meter_;
  std::multimap<drivers::Time, std::function<void()>> agenda_;
  std::set<std::size_t> begun_;
  std::map<std::size_t, double> begun_at_s_;
  std::vector<std::pair<double, double>> disturbed_;
  mutable drivers::Time seen_{0};  // the latest time anything happened
  int operations_ = 0;
  int failing_operation_ = 0;
  drivers::ErrorKind failing_how_ = drivers::ErrorKind::timeout;
  // Of the program that runs now; null without one.
  bench::EventLoop* loop_ = nullptr;
  drivers::Alarm* wake_ = nullptr;
  bench::Surroundings::StopRun stop_;
};

}  // namespace sagbench::campaign
