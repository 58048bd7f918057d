#include "bench/system/event_loop.hpp"

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <stdexcept>
#include <vector>

#include "catch.hpp"

using sagbench::bench::EventLoop;
using namespace std::chrono_literals;

namespace {

boost::asio::awaitable<int> sleep_and_answer(EventLoop& loop) {
  const auto alarm = loop.clock().make_alarm();
  co_await alarm->until(loop.clock().now() + 20ms);
  co_return 7;
}

boost::asio::awaitable<int> wait_for_nothing(EventLoop& loop) {
  boost::asio::steady_timer never(loop.io(), boost::asio::steady_timer::time_point::max());
  co_await never.async_wait(boost::asio::use_awaitable);
  co_return 7;
}

}  // namespace

TEST_CASE(
    "work that neither a deadline nor a handler will ever wake is a defect, not an endless wait") {
  EventLoop loop(true);
  CHECK_THROWS_WITH(loop.run(wait_for_nothing(loop)),
                    "the event loop has nothing left to wait for");
}

TEST_CASE("a handler that throws is told of and does not abandon the work") {
  EventLoop loop(GENERATE(true, false));
  std::vector<std::string> told;
  loop.on_fault([&](const std::string& what) { told.push_back(what); });
  boost::asio::post(loop.io(), [] { throw std::runtime_error("a broken display"); });
  CHECK(loop.run(sleep_and_answer(loop)) == 7);
  REQUIRE(told.size() == 1);
  CHECK(told.front() == "a broken display");
}
