#include "bench/live/live_service.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>
#include <nlohmann/json.hpp>

#include "bench/live/steady_seconds.hpp"
#include "bench/version.hpp"

namespace sagbench::live {
namespace {

using boost::asio::awaitable;
using std::chrono::steady_clock;

constexpr int kConflict = 409, kUnavailable = 503;
constexpr auto kRound = std::chrono::milliseconds(333);
constexpr std::size_t kServedInARow = 4;  // then whoever else is ready on the loop has a turn
constexpr auto kLongestStop = std::chrono::seconds(60);
constexpr auto kLongestAnswer = std::chrono::minutes(5);

/// Until somebody cancels it, or it is over.
awaitable<void> wait_for(boost::asio::steady_timer& timer, steady_clock::duration most) {
  boost::system::error_code cancelled;
  timer.expires_after(most);
  co_await timer.async_wait(boost::asio::redirect_error(boost::asio::use_awaitable, cancelled));
}

}  // namespace

LiveService::LiveService(boost::asio::io_context& io, const std::string& archive_path,
                         std::function<void()> stop)
    : io_(io),
      archive_(archive_path),
      stop_(std::move(stop)),
      background_(io.get_executor()),
      feed_([this](std::function<std::string()> make, std::function<void(std::string)> done) {
        return background_.run<std::string>(std::move(make), std::move(done));
      }),
      round_(io),
      self_(std::make_shared<LiveService*>(this)) {
  boost::asio::co_spawn(io_, rounds(self_), boost::asio::detached);
}

void LiveService::close() {
  self_.reset();
  round_.cancel();
  feed_.drop_all();
  background_.close();
}

void LiveService::run_begun(const std::string& run_id) {
  run_id_ = run_id;
  running_ = true;
}

void LiveService::load_off(bool off) {
  for (const auto& stopping : std::exchange(stopping_, {})) {
    stopping->off = off;
    stopping->answered.cancel();
  }
}

void LiveService::run_ended() {
  running_ = false;
}

awaitable<Reply> LiveService::answer(Asked asked) {
  if (std::holds_alternative<AskedNow>(asked)) co_return now();
  if (std::holds_alternative<AskedStop>(asked)) {
    Reply stopped = co_await stop_run();
    co_return stopped;
  }
  Reply reply = co_await in_background(std::move(asked));
  co_return reply;
}

Reply LiveService::now() const {
  const nlohmann::json run = run_id_.empty() ? nlohmann::json(nullptr) : nlohmann::json(run_id_);
  const nlohmann::json json = {{"mode", stop_ ? "run" : "archive"},
                               {"run", run},
                               {"version", bench::kVersion},
                               {"may_stop", running_ && stop_ != nullptr}};
  Reply reply;
  reply.body = json.dump() + "\n";
  return reply;
}

awaitable<Reply> LiveService::stop_run() {
  if (!running_ || !stop_) co_return refusal_reply(kConflict, "no run goes on here");
  const auto stopping =
      std::make_shared<Stopping>(Stopping{boost::asio::steady_timer(io_), std::nullopt});
  stopping_.push_back(stopping);
  const std::string run = run_id_;
  stop_();
  co_await wait_for(stopping->answered, kLongestStop);
  const nlohmann::json json = {
      {"stopped", true}, {"load_off", stopping->off.value_or(false)}, {"run", run}};
  Reply reply;
  reply.body = json.dump() + "\n";
  co_return reply;
}

awaitable<Reply> LiveService::in_background(Asked asked) {
  struct Waiting {
    boost::asio::steady_timer answered;
    std::optional<Reply> reply;
  };
  const auto waiting =
      std::make_shared<Waiting>(Waiting{boost::asio::steady_timer(io_), std::nullopt});
  std::function<Reply()> make = [archive = archive_, what = std::move(asked)] {
    return archive.answer(what);
  };
  std::function<void(Reply)> done = [waiting](Reply reply) {
    waiting->reply = std::move(reply);
    waiting->answered.cancel();
  };
  const bool begun = background_.run<Reply>(std::move(make), std::move(done));
  if (begun) co_await wait_for(waiting->answered, kLongestAnswer);
  if (!waiting->reply)
    co_return refusal_reply(kUnavailable, "too much is asked for at once; try again later");
  co_return std::move(*waiting->reply);
}

/// Lives as long as the service, or as the loop.
awaitable<void> LiveService::rounds(std::weak_ptr<LiveService*> alive) {
  for (;;) {
    LiveService* const service = alive.expired() ? nullptr : *alive.lock();
    if (service == nullptr) co_return;
    co_await wait_for(service->round_, kRound);
    if (!alive.expired()) service->begin_round();
  }
}

void LiveService::begin_round() {
  if (feed_.watchers() == 0) return;
  guarded([this] {
    if (on_round_) on_round_();
    feed_.begin_round(steady_s());
  });
  serve_round();
}

void LiveService::serve_round() {
  bool more = false;
  guarded([&] { more = feed_.serve_some(kServedInARow); });
  if (!more) return;
  boost::asio::post(io_, [alive = std::weak_ptr(self_)] {
    if (const auto self = alive.lock()) (*self)->serve_round();
  });
}

/// What fails here, as for lack of memory, is the watchers' loss and not the run's.
void LiveService::guarded(const std::function<void()>& work) {
  try {
    work();
  } catch (const std::exception&) {
    feed_.drop_all();
  }
}

}  // namespace sagbench::live
