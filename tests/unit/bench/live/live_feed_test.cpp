// Watchers of all kinds: up to date, late, slow, too many. Time and the thread beside are the
// test's own.

#include "bench/live/live_feed.hpp"

#include <nlohmann/json.hpp>

#include "catch.hpp"

using namespace sagbench::live;
using nlohmann::json;

namespace {

class TestOutlet final : public Outlet {
 public:
  bool idle() const override { return !busy; }
  void send(std::vector<Message> messages) override {
    CHECK_FALSE(busy);
    for (const Message& message : messages) {
      sent.push_back(json::parse(*message));
      shared.push_back(message);
    }
    busy = stuck;
  }
  void drop() override { dropped = true; }

  json of_type(const std::string& type) const {
    json found = json::array();
    for (const json& message : sent)
      if (message["type"] == type) found.push_back(message);
    return found;
  }
  /// All times it was told, and when it was told to forget what it had, these again.
  std::vector<double> times() const {
    std::vector<double> all;
    for (const json& message : sent) {
      if (message["type"] == "history") all.clear();
      if (message.contains("columns"))
        for (const double time_s : message["columns"]["time_s"]) all.push_back(time_s);
    }
    return all;
  }

  bool busy = false, stuck = false, dropped = false;
  std::vector<json> sent;
  std::vector<Message> shared;
};

struct Feed {
  LiveFeed feed{[this](std::function<std::string()> make, std::function<void(std::string)> done) {
    if (busy) return false;
    background.emplace_back(std::move(make), std::move(done));
    return true;
  }};
  bool busy = false;
  std::deque<std::pair<std::function<std::string()>, std::function<void(std::string)>>> background;
  double now_s = 0.0;
  int points = 0;

  Feed() { feed.begin("run-1", R"(,"run":{"id":"run-1"})"); }

  void add(int count) {
    for (int i = 0; i < count; ++i) feed.add({double(points++), 13.0, 1.0, 0.0, std::nullopt, {}});
  }
  void work() {
    while (!background.empty()) {
      auto [make, done] = std::move(background.front());
      background.pop_front();
      done(make());
    }
  }
  void round(double seconds = 0.3) {
    now_s += seconds;
    feed.begin_round(now_s);
    while (feed.serve_some(4)) {
    }
  }
  std::shared_ptr<TestOutlet> watcher(std::optional<double> since = std::nullopt,
                                      const std::string& run = "") {
    auto outlet = std::make_shared<TestOutlet>();
    CHECK(feed.follow(outlet, since, run));
    return outlet;
  }
};

std::vector<double> counted(int from, int to) {
  std::vector<double> times;
  for (int i = from; i < to; ++i) times.push_back(i);
  return times;
}

}  // namespace

TEST_CASE("a new watcher has the history, then what comes, each point once") {
  Feed test;
  test.add(100);
  const auto watcher = test.watcher();
  test.round();
  REQUIRE(watcher->sent.size() == 1);
  CHECK(watcher->sent[0]["type"] == "hello");
  CHECK(watcher->sent[0]["history"] == "anew");
  CHECK(watcher->sent[0]["run"]["id"] == "run-1");
  test.add(7);  // while the history is being written
  test.work();
  test.round();
  test.add(5);
  test.round();
  test.round();
  CHECK(watcher->of_type("history").size() == 1);
  CHECK(watcher->times() == counted(0, 112));
}

TEST_CASE("a history that cannot be made now, or gets lost, is asked for again") {
  Feed test;
  test.add(5);
  const auto watcher = test.watcher();
  test.busy = true;
  test.round();
  CHECK(test.background.empty());
  test.busy = false;
  test.round();
  CHECK(test.background.size() == 1);
  test.background.clear();  // lost
  test.round();
  CHECK(test.background.empty());
  test.round(LiveFeed::kLongestHistory_s);
  test.work();
  test.round();
  CHECK(watcher->times() == counted(0, 5));
}

TEST_CASE("one that comes back goes on right after what it has") {
  Feed test;
  test.add(1000);
  const auto watcher = test.watcher(499.0, "run-1");
  test.round();
  test.add(3);
  test.round();
  test.round();
  CHECK(watcher->sent[0]["history"] == "continues");
  CHECK(watcher->of_type("history").empty());
  CHECK(watcher->times() == counted(500, 1003));
  CHECK(test.background.empty());
}

TEST_CASE("one that comes back from another run, or too late, begins anew") {
  Feed test;
  test.add(static_cast<int>(LiveFeed::kRingPoints) + 100);
  for (const auto& watcher :
       {test.watcher(99.0), test.watcher(1e6), test.watcher(4000.0, "run-0")}) {
    test.round();
    CHECK(watcher->sent[0]["history"] == "anew");
  }
}

TEST_CASE("messages are made once for all that are up to date") {
  Feed test;
  std::vector<std::shared_ptr<TestOutlet>> watchers;
  for (int i = 0; i < 50; ++i) watchers.push_back(test.watcher());
  test.round();
  test.work();
  CHECK(test.background.empty());
  test.round();
  test.add(10);
  test.feed.state(R"({"type":"state","n":1})");
  test.round();
  for (const auto& watcher : watchers) {
    CHECK(watcher->shared.back() == watchers.front()->shared.back());
    CHECK(watcher->shared[watcher->shared.size() - 2] ==
          watchers.front()->shared[watchers.front()->shared.size() - 2]);
  }
}

TEST_CASE("a slow watcher misses states, not points, and one that is stuck is dropped") {
  Feed test;
  const auto slow = test.watcher(), well = test.watcher();
  test.round();
  test.work();
  test.round();
  slow->busy = true;
  for (int i = 0; i < 9; ++i) {
    test.add(10);
    test.feed.state(R"({"type":"state","n":)" + std::to_string(i) + "}");
    test.round(1.0);
  }
  CHECK_FALSE(slow->dropped);
  slow->busy = false;
  test.round(0.5);
  CHECK(slow->times() == counted(0, 90));
  REQUIRE(slow->of_type("state").size() == 1);
  CHECK(slow->of_type("state")[0]["n"] == 8);
  CHECK(well->of_type("state").size() == 9);
  slow->busy = true;
  for (int i = 0; i < 12; ++i) test.round(1.0);
  CHECK(slow->dropped);
  CHECK_FALSE(well->dropped);
  CHECK(test.feed.watchers() == 1);
}

TEST_CASE("one that falls out of what is kept is told to begin anew, and lacks nothing then") {
  Feed test;
  const auto watcher = test.watcher();
  test.round();
  test.work();
  test.round();
  test.add(10);
  test.round();
  watcher->busy = true;
  test.add(static_cast<int>(LiveFeed::kRingPoints) + 50);
  watcher->busy = false;
  test.round();
  test.work();
  test.round();
  test.add(1);
  for (int i = 0; i < 20; ++i) test.round();
  CHECK(watcher->of_type("hello").size() == 2);
  CHECK(watcher->of_type("history").size() == 2);
  const auto times = watcher->times();
  CHECK(times.front() == 0.0);
  CHECK(times.back() == test.points - 1);
  CHECK(std::adjacent_find(times.begin(), times.end(), std::greater_equal<>()) == times.end());
}

TEST_CASE("events come after the history, and to one that comes back only new ones") {
  Feed test;
  test.add(100);
  test.feed.event(10.0, R"({"type":"event","time_s":10})");
  test.feed.event(50.0, R"({"type":"event","time_s":50})");
  const auto anew = test.watcher(), back = test.watcher(20.0);
  test.round();
  test.work();
  test.round();
  CHECK(anew->of_type("event").size() == 2);
  REQUIRE(back->of_type("event").size() == 1);
  CHECK(back->of_type("event")[0]["time_s"] == 50);
  for (int i = 0; i < 1000; ++i) test.feed.event(100.0, R"({"type":"event","time_s":100})");
  test.round();
  CHECK(anew->of_type("event").size() == 2 + LiveFeed::kMostEvents);
}

TEST_CASE("the end comes last, and again to who comes later") {
  Feed test;
  test.add(2000);
  const auto watcher = test.watcher(100.0);
  test.feed.end(R"({"type":"end"})", R"(,"run":{"id":"run-1","ended":true})");
  for (int i = 0; i < 8; ++i) test.round();
  CHECK(watcher->sent.back()["type"] == "end");
  CHECK(watcher->of_type("end").size() == 1);
  CHECK(watcher->times() == counted(101, 2000));
  const auto later = test.watcher(1999.0);
  test.round();
  CHECK(later->sent.front()["run"]["ended"] == true);
  CHECK(later->sent.back()["type"] == "end");
}

TEST_CASE("another run: everybody begins anew, and history of the old one is not sent") {
  Feed test;
  test.add(10);
  const auto watcher = test.watcher();
  test.round();
  test.feed.begin("run-2", R"(,"run":{"id":"run-2"})");
  test.work();  // what was asked for run-1
  test.round();
  test.work();
  test.points = 0;
  test.add(3);
  test.round();
  test.round();
  CHECK(watcher->sent.back()["type"] == "samples");
  CHECK(watcher->of_type("hello").back()["run"]["id"] == "run-2");
  CHECK(watcher->times() == counted(0, 3));
}

TEST_CASE("not more watchers than there is room for, and one that leaves makes room") {
  Feed test;
  std::vector<std::shared_ptr<TestOutlet>> watchers;
  for (std::size_t i = 0; i < LiveFeed::kMostWatchers; ++i) watchers.push_back(test.watcher());
  CHECK_FALSE(test.feed.follow(std::make_shared<TestOutlet>(), std::nullopt, ""));
  test.feed.leave(*watchers.front());
  CHECK(test.feed.watchers() == LiveFeed::kMostWatchers - 1);
  test.watcher();
  test.feed.drop_all();
  CHECK(test.feed.watchers() == 0);
  CHECK(watchers.back()->dropped);
}
