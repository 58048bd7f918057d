#include "bench/event_loop.hpp"

#include <boost/asio/post.hpp>
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

}  // namespace

TEST_CASE("a handler that throws is told of and does not abandon the work") {
  EventLoop loop(GENERATE(true, false));
  std::vector<std::string> told;
  loop.on_fault([&](const std::string& what) { told.push_back(what); });
  boost::asio::post(loop.io(), [] { throw std::runtime_error("a broken display"); });
  CHECK(loop.run(sleep_and_answer(loop)) == 7);
  REQUIRE(told.size() == 1);
  CHECK(told.front() == "a broken display");
}
