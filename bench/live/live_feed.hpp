#pragma once
// What watchers are told of a run, each as quickly as it takes it. A slow one costs nobody
// anything: it has a place in what is kept for all, and where it falls behind that, it begins anew.

#include <cstdint>
#include <deque>
#include <functional>
#include <list>
#include <memory>
#include <optional>
#include <string>

#include "bench/live/outlet.hpp"
#include "bench/live/point_ring.hpp"
#include "bench/live/thin_history.hpp"

namespace sagbench::live {

/// One thread.
class LiveFeed {
 public:
  static constexpr std::size_t kMostWatchers = 256;
  static constexpr std::size_t kRingPoints = 4096;  // minutes at 20 Hz
  static constexpr std::size_t kMostPointsAMessage = 500;
  static constexpr std::size_t kMostEvents = 200;
  static constexpr double kLongestWrite_s = 10.0;

  static constexpr double kLongestHistory_s = 10.0;

  /// Runs `make` elsewhere and gives its result to `done` on this thread, later; false where there
  /// is too much to do there. A result that never comes is asked for again.
  using InBackground =
      std::function<bool(std::function<std::string()> make, std::function<void(std::string)> done)>;
  explicit LiveFeed(InBackground in_background);
  LiveFeed(const LiveFeed&) = delete;
  LiveFeed& operator=(const LiveFeed&) = delete;

  /// Another run: what was told before is over. `hello`: members of its first message besides
  /// "type" and "history", as text of JSON with a comma before each.
  void begin(const std::string& run_id, std::string hello);
  void add(const LivePoint& point);
  void event(double time_s, std::string json);
  /// The newest one replaces one that a watcher did not take.
  void state(std::string json);
  /// `hello`: the first message from now on.
  void end(std::string json, std::string hello);

  /// False where there are too many. `since_s`: the last point that it has of `run` ("": of the one
  /// that is told of now).
  bool follow(std::shared_ptr<Outlet> outlet, std::optional<double> since_s,
              const std::string& run);
  void leave(const Outlet& outlet);
  void drop_all();
  std::size_t watchers() const noexcept { return watchers_.size(); }

  /// Sends what is new to watchers that are idle, and drops those that have not been for too long.
  /// A few at a time: call it again until it returns false, with room for others between.
  void begin_round(double now_s);
  bool serve_some(std::size_t most);

 private:
  struct Watcher {
    std::shared_ptr<Outlet> outlet;
    std::optional<std::uint64_t> next;  // number of its next point; absent: it waits for history
    bool greeted = false;
    bool continues = false;   // how it was, or is to be, greeted
    std::uint64_t event = 0;  // number of its next event
    std::uint64_t state = 0;  // number of the newest state that it was sent
    bool ended = false;
    double idle_s = 0.0;  // when it was last seen idle
    std::uint64_t round = 0;
  };
  struct Event {
    double time_s = 0.0;
    Message message;
  };
  struct Cached {
    std::uint64_t from = 0, to = 0;
    Message message;
  };

  void serve(Watcher& watcher);
  void greet(Watcher& watcher, std::vector<Message>& messages);
  std::uint64_t first_event_after(double time_s) const;
  void bring_history(Watcher& watcher, std::vector<Message>& messages);
  void bring_points(Watcher& watcher, std::vector<Message>& messages);
  void bring_events(Watcher& watcher, std::vector<Message>& messages);
  void ask_for_history();
  Message points_from(std::uint64_t from);

  InBackground in_background_;
  std::uint64_t epoch_ = 0;  // counts runs: work that was begun for another one is dropped
  std::string run_id_, hello_;
  PointRing ring_{kRingPoints};
  ThinHistory history_;
  std::deque<Event> events_;
  std::uint64_t first_event_ = 0;
  Message state_, end_;
  std::uint64_t states_ = 0;
  Cached cached_points_, cached_history_;
  std::optional<double> history_asked_s_;
  std::list<Watcher> watchers_;
  double now_s_ = 0.0;
  std::uint64_t round_ = 0;
  std::shared_ptr<LiveFeed*> self_;  // for results that come when the feed is gone
};

}  // namespace sagbench::live
