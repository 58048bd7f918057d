#include "drivers/virtual_clock.hpp"

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/experimental/awaitable_operators.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <memory>
#include <string>
#include <vector>

#include "catch.hpp"
#include "virtual_time.hpp"

namespace sagbench::drivers::test {
namespace {

namespace asio = boost::asio;
using namespace std::chrono_literals;

struct Log {
  std::vector<std::string> lines;
};

asio::awaitable<void> note(Clock& clock, Log& log, std::string name, Time deadline) {
  const auto alarm = clock.make_alarm();
  const bool reached = co_await alarm->until(deadline);
  log.lines.push_back(name + (reached ? " at " : " rung at ") +
                      std::to_string(clock.now().count()));
}

const auto kNever = [] { return false; };

}  // namespace

TEST_CASE("virtual time jumps to the next deadline, equal deadlines in the order they were set") {
  VirtualTime time;
  Log log;
  for (const auto& [name, ns] : {std::pair{"c", 30}, {"a", 10}, {"b", 10}, {"d", 36'000'000}}) {
    asio::co_spawn(time.io, note(time.clock, log, name, Time(ns)), asio::detached);
  }
  CHECK_FALSE(time.clock.run(kNever, nullptr));  // nothing is left to wait for
  CHECK(log.lines == std::vector<std::string>{"a at 10", "b at 10", "c at 30", "d at 36000000"});
}

TEST_CASE("a coroutine that nothing will ever wake is a defect, not an endless wait") {
  VirtualTime time;
  const auto forgotten = [](asio::io_context& io) -> asio::awaitable<int> {
    asio::steady_timer never(io, asio::steady_timer::time_point::max());
    co_await never.async_wait(asio::use_awaitable);
    co_return 7;
  };
  CHECK_THROWS_WITH(time.run(forgotten(time.io)), "the coroutine waits for nothing");
}

TEST_CASE("a run stops as soon as it is finished and can go on") {
  VirtualTime time;
  Log log;
  asio::co_spawn(time.io, note(time.clock, log, "a", 1s), asio::detached);
  asio::co_spawn(time.io, note(time.clock, log, "b", 2s), asio::detached);
  CHECK(time.clock.run([&] { return log.lines.size() == 1; }, nullptr));
  CHECK(time.clock.now() == 1s);
  CHECK(time.clock.run([&] { return log.lines.size() == 2; }, nullptr));
  CHECK(time.clock.now() == 2s);
}

TEST_CASE("a deadline in the past yields once and leaves time alone") {
  VirtualTime time;
  Log log;
  asio::co_spawn(time.io, note(time.clock, log, "past", -1s), asio::detached);
  asio::post(time.io, [&] { log.lines.emplace_back("other"); });
  time.clock.run(kNever, nullptr);
  CHECK(log.lines == std::vector<std::string>{"other", "past at 0"});
}

TEST_CASE("time stands still while there is work before a jump") {
  VirtualTime time;
  Log log;
  asio::co_spawn(time.io, note(time.clock, log, "a", 5ns), asio::detached);
  int acknowledgements = 3;
  const auto before_jump = [&] {
    if (acknowledgements == 0) return false;
    --acknowledgements;
    asio::post(time.io,
               [&] { log.lines.push_back("ack at " + std::to_string(time.clock.now().count())); });
    return true;
  };
  time.clock.run(kNever, before_jump);
  CHECK(log.lines == std::vector<std::string>{"ack at 0", "ack at 0", "ack at 0", "a at 5"});
}

TEST_CASE("ring ends a wait at once, and does nothing without a waiter") {
  VirtualTime time;
  Log log;
  const auto alarm = time.clock.make_alarm();
  alarm->ring();
  const auto wait = [&]() -> asio::awaitable<void> {
    const bool reached = co_await alarm->until(10s);
    log.lines.push_back(reached ? "reached" : "rung");
    const bool again = co_await alarm->until(20s);
    log.lines.push_back(again ? "reached" : "rung");
  };
  const auto ring = [&]() -> asio::awaitable<void> {
    const auto mine = time.clock.make_alarm();
    co_await mine->until(3s);
    alarm->ring();
    alarm->ring();
  };
  asio::co_spawn(time.io, wait(), asio::detached);
  asio::co_spawn(time.io, ring(), asio::detached);
  CHECK(time.clock.run([&] { return log.lines.size() == 1; }, nullptr));
  CHECK(time.clock.now() == 3s);
  time.clock.run(kNever, nullptr);
  CHECK(log.lines == std::vector<std::string>{"rung", "reached"});
  CHECK(time.clock.now() == 20s);
}

TEST_CASE("the loser of a race against an alarm is cancelled and forgotten") {
  using namespace boost::asio::experimental::awaitable_operators;
  VirtualTime time;
  const auto early = time.clock.make_alarm();
  const auto late = time.clock.make_alarm();
  const auto race = [&]() -> asio::awaitable<std::size_t> {
    const auto winner = co_await (late->until(1h) || early->until(1s));
    co_return winner.index();
  };
  CHECK(time.run(race()) == 1);
  CHECK_FALSE(time.clock.run(kNever, nullptr));
  CHECK(time.clock.now() == 1s);  // nobody waits for the hour any more
}

TEST_CASE("alarms, clock and waiting coroutines may go in any order") {
  Log log;
  SECTION("the alarm first") {
    VirtualTime time;
    auto alarm = time.clock.make_alarm();
    const auto wait = [&]() -> asio::awaitable<void> {
      const bool reached = co_await alarm->until(10s);
      log.lines.push_back(reached ? "reached" : "rung");
    };
    asio::co_spawn(time.io, wait(), asio::detached);
    time.io.poll();
    alarm.reset();
    time.clock.run(kNever, nullptr);
    CHECK(log.lines == std::vector<std::string>{"rung"});
  }
  SECTION("the clock first, with a coroutine that owns its alarm") {
    VirtualTime time;
    asio::co_spawn(time.io, note(time.clock, log, "a", 10s), asio::detached);
    time.io.poll();
    CHECK(log.lines.empty());
  }
  SECTION("the io_context before the alarm") {
    std::unique_ptr<Alarm> alarm;
    {
      VirtualTime time;
      alarm = time.clock.make_alarm();
      const auto wait = [&]() -> asio::awaitable<void> {
        co_await alarm->until(10s);
        log.lines.emplace_back("never");
      };
      asio::co_spawn(time.io, wait(), asio::detached);
      time.io.poll();
    }
    CHECK(log.lines.empty());
  }
}

TEST_CASE("utc counts from the stamp given for time zero") {
  asio::io_context io;
  const std::chrono::system_clock::time_point start{std::chrono::hours(1000)};
  VirtualClock clock(io, start);
  const auto alarm = clock.make_alarm();
  asio::co_spawn(
      io, [&]() -> asio::awaitable<void> { co_await alarm->until(90s); }, asio::detached);
  clock.run(kNever, nullptr);
  CHECK(clock.utc() == start + 90s);
}

}  // namespace sagbench::drivers::test
