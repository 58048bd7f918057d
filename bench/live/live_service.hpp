#pragma once
// What stands behind the live page: the run that goes on, the archive, and the way to stop.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <list>
#include <memory>
#include <optional>
#include <string>

#include "bench/live/archive_answers.hpp"
#include "bench/live/background.hpp"
#include "bench/live/live_feed.hpp"

namespace sagbench::live {

/// On one event loop, which outlives it. Nothing here waits for the disk on that loop's thread.
class LiveService {
 public:
  /// `stop` (empty: nothing can be stopped from here) is to end the run as the operator does.
  LiveService(boost::asio::io_context& io, const std::string& archive_path,
              std::function<void()> stop);
  LiveService(const LiveService&) = delete;
  LiveService& operator=(const LiveService&) = delete;

  /// Never throws for what the archive holds or a peer asks. Precondition: the peer may ask for it
  /// (access.hpp).
  boost::asio::awaitable<Reply> answer(Asked asked);
  LiveFeed& feed() noexcept { return feed_; }
  Background& background() noexcept { return background_; }

  void run_begun(const std::string& run_id);
  /// Answers those who asked for a stop: whether the load is off.
  void load_off(bool off);
  void run_ended();

  /// Calls this every third of a second, while there are watchers, before they are served.
  void on_round(std::function<void()> told) { on_round_ = std::move(told); }
  /// Ends all that is under way. To be called before the event loop goes.
  void close();

 private:
  struct Stopping {
    boost::asio::steady_timer answered;
    std::optional<bool> off;
  };

  boost::asio::awaitable<Reply> stop_run();
  boost::asio::awaitable<Reply> in_background(Asked asked);
  Reply now() const;
  static boost::asio::awaitable<void> rounds(std::weak_ptr<LiveService*> alive);
  void begin_round();
  void serve_round();
  void guarded(const std::function<void()>& work);

  boost::asio::io_context& io_;
  ArchiveAnswers archive_;
  std::function<void()> stop_;
  Background background_;
  LiveFeed feed_;
  std::string run_id_;
  bool running_ = false;
  std::list<std::shared_ptr<Stopping>> stopping_;
  std::function<void()> on_round_;
  boost::asio::steady_timer round_;
  std::shared_ptr<LiveService*> self_;  // null once closed: for handlers that come later
};

}  // namespace sagbench::live
