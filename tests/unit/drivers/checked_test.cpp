#include "drivers/checked.hpp"

#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <memory>
#include <string>

#include "catch.hpp"
#include "drivers/virtual_time.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;
using namespace std::chrono_literals;

asio::awaitable<Result<std::string>> word(bool known) {
  if (!known) co_return Error{ErrorKind::timeout, "load: no answer"};
  co_return Result<std::string>("known");
}

asio::awaitable<Result<void>> deed(bool done) {
  if (!done) co_return Error{ErrorKind::disconnected, "load: gone"};
  co_return Result<void>();
}

asio::awaitable<std::string> word_after_deed(bool known, bool done) {
  co_await checked(deed(done));
  std::string said = co_await checked(word(known));
  co_return said;
}

/// The kind and text of what is thrown; empty when nothing is.
std::string failure_of(bool known, bool done) {
  VirtualTime time;
  try {
    time.run(word_after_deed(known, done));
  } catch (const Failure& failure) {
    return (failure.kind() == ErrorKind::timeout ? "timeout, " : "disconnected, ") +
           std::string(failure.what());
  }
  return "";
}

}  // namespace

TEST_CASE("a checked call gives its value, or throws its error") {
  VirtualTime time;
  CHECK(time.run(word_after_deed(true, true)) == "known");
  CHECK(failure_of(true, true).empty());
  CHECK(failure_of(false, true) == "timeout, load: no answer");
  CHECK(failure_of(true, false) == "disconnected, load: gone");
}

TEST_CASE("virtual time says when a coroutine waits for what it cannot bring") {
  VirtualTime time;
  asio::steady_timer real_time(time.io, 1h);
  const auto wait = [&]() -> asio::awaitable<int> {
    co_await real_time.async_wait(asio::use_awaitable);
    co_return 0;
  };
  CHECK_THROWS_AS(time.run(wait()), std::logic_error);
}

}  // namespace sagbench::drivers
