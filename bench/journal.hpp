#pragma once
// Every sample on its way into the archive. A writer thread owns the archive; the event loop never
// waits for the disk.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <variant>
#include <vector>

#include "drivers/clock.hpp"
#include "reports/archive.hpp"

namespace sagbench::bench {

/// Samples travel in batches of at most one second; events, steps and the closing close a batch at
/// once. All members but the writer's are called on the event loop's thread. After the first
/// failure nothing more is written and failure() says why.
class Journal {
 public:
  /// Writes the header before it returns. Throws reports::ArchiveError. `acknowledge_by_post` is
  /// true on a real clock: acknowledgements arrive as handlers of `io`; on a virtual clock they
  /// arrive in wait_for_writer() only, so that runs are deterministic.
  Journal(reports::Archive archive, const reports::RunHeader& header, boost::asio::io_context& io,
          drivers::Clock& clock, bool acknowledge_by_post);
  ~Journal();
  Journal(const Journal&) = delete;
  Journal& operator=(const Journal&) = delete;

  const std::string& run_id() const noexcept { return run_id_; }

  void record(analysis::Sample sample);
  void note(reports::Event event);
  void put_step(int index, reports::StepRow step);
  void close(reports::RunClosing closing);

  /// The caller is about to sleep: what would be older than a batch by then is handed over now.
  void before_sleep(drivers::Time until);
  /// Suspends until everything given so far is acknowledged, or writing failed.
  boost::asio::awaitable<void> settle();
  /// The newest sample that is safe in the archive: what displays and decisions may use.
  const std::optional<analysis::Sample>& acknowledged() const noexcept { return acknowledged_; }
  /// Age of the oldest thing not yet acknowledged, in seconds.
  double lag_s() const;
  /// Why writing failed.
  const std::optional<std::string>& failure() const noexcept { return failure_; }

  /// For the virtual clock: time stands still until the writer has done what it was given. True
  /// when it acknowledged something.
  bool wait_for_writer();

 private:
  struct StepEntry {
    int index;
    reports::StepRow row;
  };
  using Entry = std::variant<reports::Event, StepEntry, reports::RunClosing>;
  struct Batch {
    std::vector<analysis::Sample> samples;
    std::vector<Entry> entries;
    drivers::Time oldest{0};
  };
  /// What the event loop remembers of a batch until it is acknowledged.
  struct InFlight {
    std::optional<analysis::Sample> newest;
    drivers::Time oldest{0};
  };

  void add(Entry entry);
  void hand_over();
  void write_loop();
  void write(const Batch& batch);
  bool take_acknowledgements();
  bool idle() const noexcept {
    return in_flight_.empty() && open_.samples.empty() && open_.entries.empty();
  }

  boost::asio::io_context& io_;
  drivers::Clock& clock_;
  const bool acknowledge_by_post_;
  std::string run_id_;

  // Event loop's side.
  Batch open_;
  std::deque<InFlight> in_flight_;
  std::optional<analysis::Sample> acknowledged_;
  std::optional<std::string> failure_;
  std::unique_ptr<drivers::Alarm> settled_;

  // Shared with the writer, under the mutex.
  mutable std::mutex mutex_;
  std::condition_variable work_, finished_;
  std::deque<Batch> queue_;
  std::size_t batches_done_ = 0;  // not yet taken by the event loop
  std::optional<std::string> writer_failure_;
  bool quit_ = false;

  reports::Archive archive_;  // writer's only, after construction
  std::thread writer_;
};

}  // namespace sagbench::bench
