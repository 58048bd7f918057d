#include "bench/run/journal.hpp"

#include <boost/asio/post.hpp>
#include <utility>

namespace sagbench::bench {
namespace {

constexpr drivers::Time kBatch = std::chrono::seconds(1);
constexpr int kLastTries = 4;  // at the end of a run whose archive failed
constexpr drivers::Time kBetweenTries = std::chrono::seconds(1);
constexpr drivers::Time kLongestFinish = std::chrono::seconds(25);
constexpr auto kPatienceAtTheEnd = std::chrono::seconds(5);

}  // namespace

Journal::Journal(reports::Archive archive, std::string run_id, boost::asio::io_context& io,
                 drivers::Clock& clock, bool acknowledge_by_post)
    : clock_(clock),
      settled_(clock.make_alarm()),
      run_id_(std::move(run_id)),
      self_(std::make_shared<Journal*>(this)) {
  const auto acknowledge = [weak = std::weak_ptr<Journal*>(self_)] {
    if (const auto journal = weak.lock()) (*journal)->take((*journal)->writer_->report());
  };
  std::function<void()> reported;
  if (acknowledge_by_post) reported = [&io, acknowledge] { boost::asio::post(io, acknowledge); };
  writer_ = std::make_shared<JournalWriter>(std::move(archive), run_id_, std::move(reported));
  // On a virtual clock time stands still for the disk anyway: wait_for_writer() writes.
  if (acknowledge_by_post) writer_->start();
}

Journal::~Journal() {
  hand_over();
  writer_->stop(kPatienceAtTheEnd);
}

void Journal::abandon() {
  open_ = JournalBatch{};
}

void Journal::record(analysis::Sample sample) {
  if (open_.empty()) open_.oldest = clock_.now();
  open_.samples.push_back(std::move(sample));
  if (clock_.now() - open_.oldest >= kBatch) hand_over();
}

void Journal::record(reports::AskedRow asked) {
  if (open_.empty()) open_.oldest = clock_.now();
  open_.asked.push_back(asked);
}

void Journal::before_sleep(drivers::Time until) {
  if (until - open_.oldest >= kBatch) hand_over();
}

void Journal::hurry() {
  if (in_flight_.empty()) hand_over();
}

void Journal::add(JournalEntry entry) {
  if (open_.empty()) open_.oldest = clock_.now();
  open_.entries.push_back(std::move(entry));
  hand_over();
}

void Journal::note(reports::Event event) {
  add(std::move(event));
}
void Journal::put_step(int index, reports::StepRow row) {
  add(StepEntry{index, std::move(row)});
}

void Journal::hand_over() {
  if (open_.empty()) return;
  InFlight remembered{std::nullopt, open_.oldest, {}};
  if (!open_.samples.empty()) remembered.newest = open_.samples.back();
  if (told_) remembered.batch = batch_to_tell();
  in_flight_.push_back(std::move(remembered));
  writer_->give(std::exchange(open_, JournalBatch{}));
}

KeptBatch Journal::batch_to_tell() const {
  KeptBatch batch{open_.samples, {}};
  for (const JournalEntry& entry : open_.entries)
    if (const auto* event = std::get_if<reports::Event>(&entry)) batch.events.push_back(*event);
  return batch;
}

boost::asio::awaitable<void> Journal::settle() {
  hand_over();
  while (!idle() && !failure_ && lag_s() <= kLongestLag_s)
    co_await settled_->until(clock_.now() + kBatch);
}

boost::asio::awaitable<bool> Journal::finish(reports::RunClosing closing) {
  add(std::move(closing));
  const drivers::Time give_up = clock_.now() + kLongestFinish;
  drivers::Time next_try = clock_.now();
  int tries = 0;
  while (!idle() && clock_.now() < give_up) {
    if (failure_ && clock_.now() >= next_try) {
      if (++tries > kLastTries) break;
      writer_->retry();
      next_try = clock_.now() + kBetweenTries;
    }
    co_await settled_->until(clock_.now() + kBetweenTries);
  }
  co_return idle();
}

double Journal::lag_s() const {
  if (!in_flight_.empty()) return drivers::to_seconds(clock_.now() - in_flight_.front().oldest);
  if (!open_.empty()) return drivers::to_seconds(clock_.now() - open_.oldest);
  return 0.0;
}

bool Journal::wait_for_writer() {
  if (in_flight_.empty()) return false;
  return take(writer_->wait_and_report());
}

/// True when there was news.
bool Journal::take(const JournalWriter::Report& report) {
  const bool failed_first = report.failure && !failure_;
  if (failed_first) failure_ = report.failure;
  for (std::size_t done = report.batches; done > 0; --done) {
    const InFlight kept = std::move(in_flight_.front());
    in_flight_.pop_front();
    if (kept.newest) acknowledged_ = kept.newest;
    if (told_) told_(kept.batch);
  }
  const bool news = failed_first || report.batches > 0;
  if (news) settled_->ring();
  return news;
}

}  // namespace sagbench::bench
