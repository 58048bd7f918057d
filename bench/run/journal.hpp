#pragma once
// Every sample on its way into the archive. On a real clock a writer thread owns the archive and
// the event loop never waits for the disk; on a virtual one time stands still for it.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/run/journal_writer.hpp"
#include "drivers/clock.hpp"
#include "reports/archive.hpp"

namespace sagbench::bench {

/// Part of a run that is in the archive now.
struct KeptBatch {
  std::vector<analysis::Sample> samples;
  std::vector<reports::Event> events;
};

/// Samples and what a radio asked for travel in batches of at most one second; events, steps and
/// the closing close a batch at once. All members are called on the event loop's thread. After the
/// first failure failure() says why for good, and nothing more is written until finish() tries
/// again.
class Journal {
 public:
  /// The run stops when the archive is further behind than this (design, section 2).
  static constexpr double kLongestLag_s = 5.0;

  /// The run must be in the archive. `acknowledge_by_post` is true on a real clock:
  /// acknowledgements arrive as handlers of `io`; on a virtual clock they arrive in
  /// wait_for_writer() only, so that runs are deterministic.
  Journal(reports::Archive archive, std::string run_id, boost::asio::io_context& io,
          drivers::Clock& clock, bool acknowledge_by_post);
  /// Waits a while for a writer that is still busy, not for ever.
  ~Journal();
  Journal(const Journal&) = delete;
  Journal& operator=(const Journal&) = delete;

  const std::string& run_id() const noexcept { return run_id_; }

  /// The program is taken for dead: what was not handed to the writer is lost. For tests of a
  /// crash.
  void abandon();

  void record(analysis::Sample sample);
  void record(reports::AskedRow asked);
  void note(reports::Event event);
  void put_step(int index, reports::StepRow step);

  /// The caller is about to sleep: what would be older than a batch by then is handed over now.
  void before_sleep(drivers::Time until);
  /// Hands over at once what waits, unless the writer is still busy with what came before: for a
  /// loop whose every decision wants an acknowledged sample as young as the disk allows.
  void hurry();
  /// Suspends until everything given so far is acknowledged, writing failed, or the lag is too
  /// long.
  boost::asio::awaitable<void> settle();
  /// The last word of a run. What could not be written before is tried again a few times, in order;
  /// true when all of it is in the archive. Ends within half a minute whatever the disk does.
  boost::asio::awaitable<bool> finish(reports::RunClosing closing);
  /// The newest sample that is safe in the archive: what displays and decisions may use.
  const std::optional<analysis::Sample>& acknowledged() const noexcept { return acknowledged_; }
  /// From now on told (empty: nobody is) of each batch when it is acknowledged, in their order; of
  /// what was handed over before, no more than its newest sample.
  void on_kept(std::function<void(const KeptBatch&)> told) { told_ = std::move(told); }
  /// Age of the oldest thing not yet acknowledged, in seconds.
  double lag_s() const;
  /// Why writing first failed.
  const std::optional<std::string>& failure() const noexcept { return failure_; }

  /// For the virtual clock: time stands still until what was handed over is written. True when
  /// there was news.
  bool wait_for_writer();

 private:
  /// What the event loop remembers of a batch until it is acknowledged.
  struct InFlight {
    std::optional<analysis::Sample> newest;
    drivers::Time oldest{0};
    KeptBatch batch{};  // empty where nobody is told
  };

  void add(JournalEntry entry);
  void hand_over();
  KeptBatch batch_to_tell() const;
  bool take(const JournalWriter::Report& report);
  bool idle() const noexcept { return in_flight_.empty() && open_.empty(); }

  drivers::Clock& clock_;
  JournalBatch open_;
  std::deque<InFlight> in_flight_;
  std::optional<analysis::Sample> acknowledged_;
  std::function<void(const KeptBatch&)> told_;
  std::optional<std::string> failure_;
  std::unique_ptr<drivers::Alarm> settled_;
  std::string run_id_;
  std::shared_ptr<JournalWriter> writer_;
  std::shared_ptr<Journal*> self_;  // for handlers that may come when the journal is gone
};

}  // namespace sagbench::bench
