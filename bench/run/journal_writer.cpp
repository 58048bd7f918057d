#include "bench/run/journal_writer.hpp"

#include <exception>
#include <utility>

namespace sagbench::bench {
namespace {

template <class... Cases>
struct Overloaded : Cases... {
  using Cases::operator()...;
};
template <class... Cases>
Overloaded(Cases...) -> Overloaded<Cases...>;

}  // namespace

JournalWriter::JournalWriter(reports::Archive archive, std::string run_id,
                             std::function<void()> reported)
    : archive_(std::move(archive)), run_id_(std::move(run_id)), reported_(std::move(reported)) {}

void JournalWriter::start() {
  threaded_ = true;
  thread_ = std::thread([self = shared_from_this()] { self->write_loop(); });
}

void JournalWriter::give(JournalBatch batch) {
  const std::lock_guard lock(mutex_);
  queue_.push_back(std::move(batch));
  wake_.notify_one();
}

void JournalWriter::retry() {
  const std::lock_guard lock(mutex_);
  retry_ = failure_.has_value() && !writing_;
  wake_.notify_one();
}

JournalWriter::Report JournalWriter::report() {
  const std::lock_guard lock(mutex_);
  return take_report();
}

JournalWriter::Report JournalWriter::wait_and_report() {
  std::unique_lock lock(mutex_);
  if (!threaded_) write_here(lock);
  changed_.wait(lock, [this] { return ended_ || (!writing_ && !has_work()); });
  return take_report();
}

JournalWriter::Report JournalWriter::take_report() {
  return {std::exchange(batches_done_, 0), failure_};
}

void JournalWriter::stop(std::chrono::seconds patience) {
  std::unique_lock lock(mutex_);
  quit_ = true;
  if (!threaded_) {
    write_here(lock);
    archive_.reset();
    ended_ = true;
  }
  wake_.notify_one();
  changed_.wait_for(lock, patience, [this] { return ended_; });
  reported_ = nullptr;
  const bool ended = ended_;
  lock.unlock();
  if (!thread_.joinable()) return;
  if (ended)
    thread_.join();
  else
    thread_.detach();
}

void JournalWriter::write_loop() {
  std::unique_lock lock(mutex_);
  for (;;) {
    wake_.wait(lock, [this] { return quit_ || has_work(); });
    if (!has_work()) break;
    write_head(lock);
  }
  lock.unlock();
  archive_.reset();  // before stop() returns: the file is complete then
  lock.lock();
  ended_ = true;
  changed_.notify_all();
}

void JournalWriter::write_here(std::unique_lock<std::mutex>& lock) {
  while (has_work()) write_head(lock);
}

void JournalWriter::write_head(std::unique_lock<std::mutex>& lock) {
  retry_ = false;
  writing_ = true;
  const JournalBatch& batch = queue_.front();  // stays where it is while others are added
  lock.unlock();
  std::optional<std::string> failure = try_to_write(batch);
  lock.lock();
  writing_ = false;
  failure_ = std::move(failure);
  if (!failure_) {
    queue_.pop_front();
    ++batches_done_;
  }
  if (reported_) reported_();
  changed_.notify_all();
}

std::optional<std::string> JournalWriter::try_to_write(const JournalBatch& batch) noexcept {
  try {
    try {
      write(batch);
      return std::nullopt;
    } catch (const std::exception& error) {
      return error.what();
    }
  } catch (...) {
    return "out of memory";  // short enough to need none itself
  }
}

void JournalWriter::write(const JournalBatch& batch) {
  archive_->transaction([&] {
    if (!batch.samples.empty()) archive_->append(run_id_, batch.samples);
    archive_->append_asked(run_id_, batch.asked);
    const Overloaded put{
        [&](const reports::Event& event) { archive_->add_event(run_id_, event); },
        [&](const StepEntry& step) { archive_->put_step(run_id_, step.index, step.row); },
        [&](const reports::RunClosing& closing) { archive_->close_run(run_id_, closing); }};
    for (const JournalEntry& entry : batch.entries) std::visit(put, entry);
  });
}

}  // namespace sagbench::bench
