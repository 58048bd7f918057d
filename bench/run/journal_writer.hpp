#pragma once
// What owns the archive: a thread, or, where time can stand still for the disk, nobody but the
// caller. It is given batches and reports how far it has come.

#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <variant>
#include <vector>

#include "drivers/clock.hpp"
#include "reports/archive.hpp"

namespace sagbench::bench {

struct StepEntry {
  int index;
  reports::StepRow row;
};
using JournalEntry = std::variant<reports::Event, StepEntry, reports::RunClosing>;

/// What is kept together or not at all.
struct JournalBatch {
  std::vector<analysis::Sample> samples;
  std::vector<reports::AskedRow> asked;
  std::vector<JournalEntry> entries;
  drivers::Time oldest{0};
  bool empty() const noexcept { return samples.empty() && asked.empty() && entries.empty(); }
};

/// Batches are written in the order given, so what the archive holds never has a gap: a batch that
/// could not be written stays at the head of the queue and nothing behind it is tried until
/// retry(). Shared by its owner and its thread, which may outlive the owner when the disk hangs.
/// Without start() there is no thread: wait_and_report() and stop() write in the caller's, which
/// spares a virtual run two switches of threads a batch.
class JournalWriter : public std::enable_shared_from_this<JournalWriter> {
 public:
  /// `reported` (may be empty) is called on the writer's thread after every batch, until stop() has
  /// returned.
  JournalWriter(reports::Archive archive, std::string run_id, std::function<void()> reported);
  void start();

  void give(JournalBatch batch);
  /// After a failure: tries the batch that failed once more, and what waits behind it.
  void retry();

  struct Report {
    std::size_t batches = 0;             // written since the last report
    std::optional<std::string> failure;  // why the batch at the head could not be written
  };
  Report report();
  /// Waits until there is nothing left to do: all is written, or writing failed.
  Report wait_and_report();

  /// Lets the writer finish what it can write, for `patience` at most, and ends its thread. A
  /// thread that hangs in the disk is left behind: the load is off by then and the program must
  /// end.
  void stop(std::chrono::seconds patience);

 private:
  void write_loop();
  void write_head(std::unique_lock<std::mutex>& lock);
  void write_here(std::unique_lock<std::mutex>& lock);
  std::optional<std::string> try_to_write(const JournalBatch& batch) noexcept;
  void write(const JournalBatch& batch);
  bool has_work() const { return !queue_.empty() && (!failure_ || retry_); }
  Report take_report();

  std::optional<reports::Archive> archive_;  // the thread's only, if there is one; closed by it too
  const std::string run_id_;
  std::thread thread_;  // the owner's

  std::mutex mutex_;  // guards what follows
  std::condition_variable wake_, changed_;
  std::function<void()> reported_;
  std::deque<JournalBatch> queue_;  // the head stays until it is written
  std::size_t batches_done_ = 0;
  std::optional<std::string> failure_;
  bool retry_ = false;
  bool threaded_ = false;
  bool writing_ = false;
  bool quit_ = false;
  bool ended_ = false;
};

}  // namespace sagbench::bench
