#include "bench/live/live_run.hpp"

#include <boost/asio/redirect_error.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>
#include <csignal>
#include <utility>

#include "bench/live/address_notice.hpp"
#include "bench/live/steady_seconds.hpp"
#include "bench/system/hang_up.hpp"
#include "reports/archive.hpp"

namespace sagbench::live {
namespace {

using boost::asio::awaitable;

constexpr double kStateEvery_s = 0.95;  // of rounds of a third of a second, each third one
constexpr auto kLook = std::chrono::seconds(1);
constexpr int kLongestStay_s = 15 * 60;

}  // namespace

LiveRun::LiveRun(const LiveRunOptions& options, bench::EventLoop& loop,
                 bench::Surroundings::StopRun stop)
    : stay_(options.stay),
      io_(loop.io()),
      service_(io_, options.archive_path,
               [stop = std::move(stop)] {
                 stop(reports::RunEnd::operator_stop, "stopped by the operator (live page)");
               }),
      server_(io_, "--live", options.address, service_) {
  service_.on_round([this] { tell_state(); });
  tell_where(server_.address(), server_.token());
}

LiveRun::~LiveRun() {
  server_.close();
  service_.close();
}

void LiveRun::begun(const bench::RunBegun& run,
                    std::function<std::optional<bench::RunState>()> state) {
  facts_ = {run.run_id, run.utc,  run.archive_path, run.bench_name,
            run.pack,   run.plan, run.simulated};
  state_ = std::move(state);
  service_.run_begun(run.run_id);
  service_.feed().begin(run.run_id, hello_json(facts_, ""));
  take_up_earlier(run);
}

/// Of a run that goes on after it was cut short. The input is off still.
void LiveRun::take_up_earlier(const bench::RunBegun& run) {
  const reports::Archive archive(run.archive_path, reports::Archive::Access::read);
  const reports::RunRecord record = archive.load(run.run_id);
  maker_ = PointMaker(record.gaps);
  kept({record.samples, record.events});
}

void LiveRun::kept(const bench::KeptBatch& batch) {
  for (const LivePoint& point : thinned_stream(maker_.points(batch.samples)))
    service_.feed().add(point);
  for (const reports::Event& event : batch.events) note(event);
}

void LiveRun::note(const reports::Event& event) {
  add_caution(cautions_, event);
  service_.feed().event(event.time_s, event_json(event));
}

/// Once a second, and at once when the step or the input is another.
void LiveRun::tell_state() {
  if (!state_) return;
  const auto state = state_();
  if (!state) return;
  const bool changed = state->input_on != told_on_ || state->label != told_label_;
  if (!changed && steady_s() - told_s_ < kStateEvery_s) return;
  service_.feed().state(state_json(facts_, *state, cautions_));
  told_s_ = steady_s();
  told_on_ = state->input_on;
  told_label_ = state->label;
}

void LiveRun::load_off(bool off) {
  service_.load_off(off);
}

void LiveRun::ended(const reports::RunClosing& closing) {
  const std::string end = end_json(facts_.run_id, closing);
  service_.feed().end(end, hello_json(facts_, end));
  service_.run_ended();
}

awaitable<bool> LiveRun::stay() {
  boost::asio::signal_set signals(io_, SIGINT, SIGTERM);
  bench::add_hang_up(signals);
  bool leave = false;
  boost::asio::steady_timer timer(io_);
  signals.async_wait([&](boost::system::error_code error, int) {
    if (error) return;
    leave = true;
    timer.cancel();
  });
  for (int seconds = 0; !leave && (stay_ || seconds < kLongestStay_s); ++seconds) {
    if (!stay_ && service_.feed().watchers() == 0) break;
    if (seconds == 0) tell_stay(stay_);
    boost::system::error_code ignored;
    timer.expires_after(kLook);
    co_await timer.async_wait(boost::asio::redirect_error(boost::asio::use_awaitable, ignored));
  }
  co_return true;
}

bench::MakeRunWatch make_live_run(const LiveRunOptions& options) {
  return [options](bench::EventLoop& loop, bench::Surroundings::StopRun stop) {
    return std::make_unique<LiveRun>(options, loop, std::move(stop));
  };
}

}  // namespace sagbench::live
