#include "bench/journal.hpp"

#include <boost/asio/post.hpp>
#include <utility>

namespace sagbench::bench {
namespace {

constexpr drivers::Time kBatch = std::chrono::seconds(1);

template <class... Cases>
struct Overloaded : Cases... {
  using Cases::operator()...;
};

}  // namespace

Journal::Journal(reports::Archive archive, const reports::RunHeader& header,
                 boost::asio::io_context& io, drivers::Clock& clock, bool acknowledge_by_post)
    : io_(io),
      clock_(clock),
      acknowledge_by_post_(acknowledge_by_post),
      settled_(clock.make_alarm()),
      archive_(std::move(archive)) {
  run_id_ = archive_.begin_run(header);
  writer_ = std::thread([this] { write_loop(); });
}

Journal::~Journal() {
  hand_over();
  {
    const std::lock_guard lock(mutex_);
    quit_ = true;
  }
  work_.notify_one();
  writer_.join();
}

void Journal::record(analysis::Sample sample) {
  if (open_.samples.empty() && open_.entries.empty()) open_.oldest = clock_.now();
  open_.samples.push_back(std::move(sample));
  if (clock_.now() - open_.oldest >= kBatch) hand_over();
}

void Journal::before_sleep(drivers::Time until) {
  if (until - open_.oldest >= kBatch) hand_over();
}

void Journal::add(Entry entry) {
  if (open_.samples.empty() && open_.entries.empty()) open_.oldest = clock_.now();
  open_.entries.push_back(std::move(entry));
  hand_over();
}

void Journal::note(reports::Event event) {
  add(std::move(event));
}
void Journal::put_step(int index, reports::StepRow row) {
  add(StepEntry{index, std::move(row)});
}
void Journal::close(reports::RunClosing closing) {
  add(std::move(closing));
}

void Journal::hand_over() {
  if (open_.samples.empty() && open_.entries.empty()) return;
  InFlight remembered{std::nullopt, open_.oldest};
  if (!open_.samples.empty()) remembered.newest = open_.samples.back();
  in_flight_.push_back(std::move(remembered));
  {
    const std::lock_guard lock(mutex_);
    queue_.push_back(std::exchange(open_, Batch{}));
  }
  work_.notify_one();
}

boost::asio::awaitable<void> Journal::settle() {
  hand_over();
  while (!idle() && !failure_) co_await settled_->until(clock_.now() + kBatch);
}

double Journal::lag_s() const {
  if (!in_flight_.empty()) return drivers::to_seconds(clock_.now() - in_flight_.front().oldest);
  if (!open_.samples.empty()) return drivers::to_seconds(clock_.now() - open_.oldest);
  return 0.0;
}

bool Journal::wait_for_writer() {
  if (in_flight_.empty() || failure_) return false;
  std::unique_lock lock(mutex_);
  finished_.wait(lock, [this] {
    return (queue_.empty() && batches_done_ == in_flight_.size()) || writer_failure_;
  });
  lock.unlock();
  return take_acknowledgements();
}

bool Journal::take_acknowledgements() {
  std::size_t done = 0;
  {
    const std::lock_guard lock(mutex_);
    done = std::exchange(batches_done_, 0);
    if (!failure_) failure_ = writer_failure_;
  }
  for (; done > 0; --done) {
    if (in_flight_.front().newest) acknowledged_ = std::move(in_flight_.front().newest);
    in_flight_.pop_front();
  }
  settled_->ring();
  return true;
}

void Journal::write_loop() {
  std::unique_lock lock(mutex_);
  for (;;) {
    work_.wait(lock, [this] { return quit_ || !queue_.empty(); });
    if (queue_.empty()) return;
    const Batch batch = std::move(queue_.front());
    queue_.pop_front();
    if (writer_failure_) continue;  // the first failure latches: what follows it would be a gap
    lock.unlock();
    std::optional<std::string> failure;
    try {
      write(batch);
    } catch (const std::exception& error) {
      failure = error.what();
    }
    lock.lock();
    if (failure)
      writer_failure_ = std::move(failure);
    else
      ++batches_done_;
    finished_.notify_one();
    if (acknowledge_by_post_) boost::asio::post(io_, [this] { take_acknowledgements(); });
  }
}

void Journal::write(const Batch& batch) {
  archive_.transaction([&] {
    if (!batch.samples.empty()) archive_.append(run_id_, batch.samples);
    const Overloaded put{
        [&](const reports::Event& event) { archive_.add_event(run_id_, event); },
        [&](const StepEntry& step) { archive_.put_step(run_id_, step.index, step.row); },
        [&](const reports::RunClosing& closing) { archive_.close_run(run_id_, closing); }};
    for (const Entry& entry : batch.entries) std::visit(put, entry);
  });
}

}  // namespace sagbench::bench
